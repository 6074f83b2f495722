-- Temperatures of one quantity that fall into two heaps, as degrees Celsius and Fahrenheit do.
INSERT INTO remarks
SELECT source_id, any_value(table_name), 'two temperature scales', least(low, high),
    concat(name, ': ', quantity, ' falls into two heaps, ', low, ' values up to 40 and ', high, ' from 55 to 120; some may be degF')
FROM (
    SELECT source_id, 'readings' AS table_name, quantity,
        count_if(value BETWEEN 5 AND 40) AS low, count_if(value BETWEEN 55 AND 120) AS high, count(*) AS all_of_them
    FROM readings WHERE unit = 'degC' GROUP BY source_id, quantity
    UNION ALL
    SELECT source_id, 'ambient', quantity,
        count_if(value BETWEEN 5 AND 40), count_if(value BETWEEN 55 AND 120), count(*)
    FROM ambient WHERE unit = 'degC' GROUP BY source_id, quantity
) AS heaps
JOIN sources USING (source_id)
WHERE least(low, high) * 10 >= all_of_them
GROUP BY source_id, name, quantity, low, high;

-- Temperatures of one quantity that fall into two heaps, as degrees Celsius and Fahrenheit do:
-- some values may be of the other scale than the file says.
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

-- The other way round: what is read as Fahrenheit and was Celsius lies near freezing, with
-- hardly a value between the heaps.
INSERT INTO remarks
SELECT source_id, any_value(table_name), 'two temperature scales', least(low, high),
    concat(name, ': ', quantity, ' falls into two heaps, ', low, ' values up to 4 degC and ', high, ' from 13 to 50; some written as degF may be degC')
FROM (
    SELECT source_id, 'readings' AS table_name, quantity, count_if(value BETWEEN -18 AND 4) AS low,
        count_if(value BETWEEN 13 AND 50) AS high, count_if(value > 4 AND value < 13) AS between_them, count(*) AS all_of_them
    FROM readings WHERE unit = 'degC' GROUP BY source_id, quantity
    UNION ALL
    SELECT source_id, 'ambient', quantity, count_if(value BETWEEN -18 AND 4),
        count_if(value BETWEEN 13 AND 50), count_if(value > 4 AND value < 13), count(*)
    FROM ambient WHERE unit = 'degC' GROUP BY source_id, quantity
) AS heaps
JOIN sources USING (source_id)
WHERE least(low, high) * 10 >= all_of_them AND between_them * 50 <= all_of_them
GROUP BY source_id, name, quantity, low, high;

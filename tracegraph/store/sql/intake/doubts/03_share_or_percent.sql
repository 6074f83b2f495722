-- Percentages up to 1 among others that lie far above: they may be shares.
INSERT INTO remarks
SELECT source_id, any_value(table_name), 'share or percent', small,
    concat(name, ': ', small, ' values of ', quantity, ' are at most 1 % where most are near ', round(middle), ' %; they may be shares')
FROM (
    SELECT source_id, 'readings' AS table_name, quantity, count_if(value > 0 AND value <= 1) AS small, median(value) AS middle
    FROM readings WHERE unit = '%' GROUP BY source_id, quantity
    UNION ALL
    SELECT source_id, 'ambient', quantity, count_if(value > 0 AND value <= 1), median(value)
    FROM ambient WHERE unit = '%' GROUP BY source_id, quantity
) AS shares
JOIN sources USING (source_id)
WHERE small > 0 AND middle > 20
GROUP BY source_id, name, quantity, small, middle;

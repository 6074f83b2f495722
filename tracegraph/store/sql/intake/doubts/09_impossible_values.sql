-- Values that cannot be measured: a number that stands for nothing, or another unit.
INSERT INTO remarks
SELECT v.source_id, any_value(v.table_name), 'impossible values', count(*),
    concat(any_value(s.name), ': ', count(*), ' values of ', v.quantity, ' cannot be, such as ', min(v.value), ' ', v.unit, '; if they stand for nothing, list them under sentinels in intake.toml')
FROM (
    SELECT source_id, 'readings' AS table_name, quantity, value, unit FROM readings
    UNION ALL
    SELECT source_id, 'ambient', quantity, value, unit FROM ambient
) AS v
JOIN sources AS s USING (source_id)
WHERE (v.unit = 'degC' AND (v.value < -60 OR v.value > 500))
    OR (v.quantity = 'relative_humidity' AND v.unit = '%' AND (v.value < 0 OR v.value > 100))
    OR (v.unit IN ('um', 'kg', 'min', 'h', 'L', 'pcs') AND v.value < 0)
GROUP BY v.source_id, v.quantity, v.unit;

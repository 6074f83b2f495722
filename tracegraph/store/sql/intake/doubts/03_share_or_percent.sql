-- Percentages that would fit among the others a hundred times as large, and humidities of
-- which most are at most 1 %: they may be shares.
INSERT INTO remarks
WITH percentages AS (
    SELECT source_id, 'readings' AS table_name, quantity, value FROM readings WHERE unit = '%'
    UNION ALL
    SELECT source_id, 'ambient', quantity, value FROM ambient WHERE unit = '%'
),
spread AS (
    SELECT source_id, table_name, quantity, quantile_cont(value, [0.25, 0.5, 0.75]) AS quarters
    FROM percentages
    GROUP BY source_id, table_name, quantity
)
SELECT source_id, table_name, 'share or percent', count(*),
    concat(any_value(name), ': ', count(*), ' values of ', quantity, ' may be shares: they are near a hundredth of what is expected; the middle of all is ', round(any_value(quarters[2]), 2), ' %')
FROM percentages
JOIN spread USING (source_id, table_name, quantity)
JOIN sources USING (source_id)
WHERE value > 0 AND (
    (value * 20 < quarters[2] AND value * 100 BETWEEN quarters[1] / 2 AND quarters[3] * 2)
    OR (quantity = 'relative_humidity' AND value <= 1 AND quarters[2] <= 1)
)
GROUP BY source_id, table_name, quantity;

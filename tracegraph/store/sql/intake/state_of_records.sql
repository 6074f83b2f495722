-- Rows of one table from sources up to a number, and what was noted of their values.
-- Whatever changes a row that stays also notes it, so that equal counts mean equal rows.
SELECT '{{table}}' AS table_name, 'rows' AS counted, count(*) AS times
FROM {{table}}
WHERE source_id <= $last_source
UNION ALL
SELECT table_name, concat('noted: ', rule), count(*)
FROM cleaned_values
WHERE table_name = '{{table}}' AND source_id <= $last_source
GROUP BY ALL

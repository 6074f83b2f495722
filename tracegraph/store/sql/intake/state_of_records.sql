-- Rows of one table, and what was noted of its values as read from sources up to a number.
-- Whatever changes a row that stays also notes it, so that equal counts mean equal rows.
SELECT '{{table}}' AS table_name, 'rows' AS counted, count(*) AS times
FROM {{table}}
UNION ALL
SELECT table_name, concat('noted: ', rule), count(*)
FROM cleaned_values
WHERE table_name = '{{table}}' AND source_id <= $last_source
GROUP BY ALL

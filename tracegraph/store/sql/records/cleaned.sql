-- Values that were stored otherwise than written, counted by column and rule.
SELECT
    table_name, column_name, rule,
    CAST(sum(affected) AS BIGINT) AS rows,
    arg_min(raw, raw) AS example,
    arg_min(coalesce(value, ''), raw) AS became
FROM cleaned_values
GROUP BY table_name, column_name, rule
ORDER BY rows DESC, table_name, column_name, rule;

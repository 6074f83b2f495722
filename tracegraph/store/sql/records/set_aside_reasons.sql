-- Rows that could not be read, counted by file, column and reason. The reason without the
-- text that stood there, so that a thousand bad cells of one sort are one line.
SELECT
    s.name AS file,
    s.sheet,
    a.table_name,
    a.column_name,
    CASE WHEN a.value IS NULL THEN a.reason
        ELSE replace(a.reason, '; got "' || a.value || '"', '') END AS reason,
    count(*) AS rows,
    arg_min(a.value, a.source_row) AS first_value,
    min(a.source_row) AS first_row
FROM set_aside AS a
JOIN sources AS s USING (source_id)
GROUP BY ALL
ORDER BY rows DESC, file, sheet, first_row;

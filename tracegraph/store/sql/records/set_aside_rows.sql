-- Rows that could not be read, whole, in the order of files and lines, one page of them.
SELECT s.name AS file, s.sheet, a.source_row AS line, a.table_name, a.column_name, a.value, a.reason, a.raw
FROM set_aside AS a
JOIN sources AS s USING (source_id)
WHERE CAST($file AS VARCHAR) IS NULL OR s.name = CAST($file AS VARCHAR)
ORDER BY file, s.sheet NULLS FIRST, line, a.column_name
LIMIT CAST($limit AS INTEGER) OFFSET CAST($offset AS INTEGER);

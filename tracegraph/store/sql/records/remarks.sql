-- What a reader of the records should know.
SELECT s.name AS file, r.table_name, r.kind, r.affected, r.text
FROM remarks AS r
LEFT JOIN sources AS s USING (source_id)
ORDER BY r.kind, file NULLS FIRST, r.text;

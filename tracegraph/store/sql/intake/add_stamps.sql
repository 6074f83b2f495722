-- When each row of the page was written, by its own stamp.
INSERT INTO stamps
SELECT $table_name, $source_id, {{row}}, {{stamp}}
FROM page AS p
{{joins}}
WHERE {{whole}} AND {{stamp}} IS NOT NULL;

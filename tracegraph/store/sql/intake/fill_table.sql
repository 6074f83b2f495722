-- Rows of the staged page as records of one table.
INSERT INTO {{table}} ({{fields}}, source_id, source_row)
SELECT {{values}}, $source_id, {{row}}
FROM page AS p
{{joins}}
WHERE {{whole}}
{{grouping}};

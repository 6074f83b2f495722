-- Use the kept spelling in one column, and note the text as written.
INSERT INTO cleaned_values
SELECT t.source_id, t.source_row, $table_name, $column_name, r.spelling, r.kept, 'letter case', 1
FROM {{table}} AS t
JOIN respelled AS r ON r.spelling = t.{{field}};

UPDATE {{table}} AS t
SET {{field}} = r.kept
FROM respelled AS r
WHERE r.spelling = t.{{field}};

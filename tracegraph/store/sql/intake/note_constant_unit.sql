-- The unit that a whole file was written in.
INSERT INTO cleaned_values
SELECT $source_id, NULL, $table_name, 'unit', $raw, $value, $rule, count(*)
FROM {{table}}
WHERE source_id = $source_id AND unit = $value
HAVING count(*) > 0;

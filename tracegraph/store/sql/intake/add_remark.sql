INSERT INTO remarks
SELECT (SELECT max(source_id) FROM sources WHERE name = $name), $table_name, $kind, $affected, $text;

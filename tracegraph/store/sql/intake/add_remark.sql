INSERT INTO remarks VALUES ($source_id, $table_name, $kind, $affected, $text);

INSERT INTO facts_told VALUES ($source_id, $table_name);

-- What the form of a cell told, for one field that its column fills.
INSERT INTO cleaned_values
SELECT $source_id, source_row, $table_name, $column_name, raw, value, rule, 1
FROM cell_notes
WHERE cell_column = $column;

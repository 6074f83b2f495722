-- Lines that could not be cut into columns.
INSERT INTO set_aside
SELECT $source_id, source_row, NULL, NULL, NULL, reason, CAST(to_json({'line': text}) AS VARCHAR)
FROM broken;

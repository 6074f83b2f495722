-- Rows of the staged page that lack what a record of the table must have, with the first reason.
INSERT INTO set_aside
SELECT
    $source_id,
    source_row,
    $table_name,
    reason.column_name,
    reason.value,
    CASE
        WHEN reason.problem IS NOT NULL
            THEN concat(reason.column_name, ' must be ', reason.problem, '; got "', left(reason.value, 80), '". Mend the cell, or say in intake.toml how to read it')
        WHEN reason.value IS NOT NULL
            THEN concat(reason.column_name, ' is required for ', $table_name, '; "', left(reason.value, 80), '" stands for nothing. Fill it in')
        ELSE concat(reason.column_name, ' is required for ', $table_name, ' and is blank; fill it in')
    END,
    CAST(to_json(map($headers, texts)) AS VARCHAR)
FROM (
    SELECT {{row}} AS source_row, {{reason}} AS reason, [{{texts}}] AS texts
    FROM page AS p
    {{joins}}
    WHERE NOT ({{whole}})
);

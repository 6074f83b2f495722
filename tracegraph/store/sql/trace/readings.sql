-- Values written down during the given operations; a quantity read more than once is numbered.
-- Rows are found by the one column first, so that the others are read for these rows alone.
SELECT
    operation_id, quantity, value, unit,
    row_number() OVER (PARTITION BY operation_id, quantity ORDER BY source_id, source_row) AS reading_no
FROM readings
WHERE rowid IN (
    SELECT rowid FROM readings WHERE operation_id IN (SELECT unnest(CAST($operations AS VARCHAR[])))
)
ORDER BY operation_id, quantity, reading_no;

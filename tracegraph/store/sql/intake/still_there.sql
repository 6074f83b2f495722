-- Rows that still have a record in one table are not lost.
DELETE FROM lost_rows
WHERE EXISTS (
    SELECT 1 FROM {{table}} AS t
    WHERE t.source_id = lost_rows.source_id AND t.source_row = lost_rows.source_row
);

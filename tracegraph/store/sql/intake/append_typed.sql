-- Rows of a typed batch as text.
INSERT INTO page SELECT source_row, {{texts}} FROM typed_batch;

-- Rows that are no records and hold a text all the same.
SELECT source_row, text FROM furniture WHERE trim(text) <> '' ORDER BY source_row;

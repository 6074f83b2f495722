-- Rows that could not be read, in one row.
SELECT count(*) AS rows FROM set_aside;

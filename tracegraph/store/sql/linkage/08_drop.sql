DROP TABLE lots_used;
DROP TABLE hull_numbers;
DROP TABLE hull_by_serial;
DROP TABLE hull_terms;
DROP TABLE hull_by_job;
DROP TABLE hull_by_hin;
DROP TABLE part_by_serial;
DROP TABLE operation_by_id;

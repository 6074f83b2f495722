-- When a record was written, where its file says so: the latest state is in force.
CREATE TABLE stamps (
    table_name  VARCHAR NOT NULL,
    source_id   INTEGER NOT NULL,
    source_row  BIGINT NOT NULL,
    stamp       TIMESTAMP NOT NULL
);
COMMENT ON TABLE stamps IS 'When a record was written, by its file''s own stamp.';
COMMENT ON COLUMN stamps.table_name IS 'table of the record';
COMMENT ON COLUMN stamps.source_id IS 'where it came from';
COMMENT ON COLUMN stamps.source_row IS 'line or sheet row, counted from 1';
COMMENT ON COLUMN stamps.stamp IS 'the stamp, UTC';

-- One row that could not be read as a record, whole, with where and why.
CREATE TABLE set_aside (
    source_id    INTEGER NOT NULL,
    source_row   BIGINT NOT NULL,
    table_name   VARCHAR,
    column_name  VARCHAR,
    value        VARCHAR,
    reason       VARCHAR NOT NULL,
    raw          VARCHAR NOT NULL
);
COMMENT ON TABLE set_aside IS 'One row that could not be read as a record.';
COMMENT ON COLUMN set_aside.source_id IS 'where it came from';
COMMENT ON COLUMN set_aside.source_row IS 'line or sheet row, counted from 1';
COMMENT ON COLUMN set_aside.table_name IS 'table it was meant for';
COMMENT ON COLUMN set_aside.column_name IS 'column that could not be read';
COMMENT ON COLUMN set_aside.value IS 'what stood there';
COMMENT ON COLUMN set_aside.reason IS 'what was expected and what to do';
COMMENT ON COLUMN set_aside.raw IS 'the whole row as JSON, column by column';

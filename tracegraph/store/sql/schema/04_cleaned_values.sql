-- One value that was stored otherwise than written, with the text as written. An entry
-- without a row speaks for every row of the file in which this column holds this value and
-- which has no entry of its own.
CREATE TABLE cleaned_values (
    source_id    INTEGER NOT NULL,
    source_row   BIGINT,
    table_name   VARCHAR NOT NULL,
    column_name  VARCHAR NOT NULL,
    raw          VARCHAR NOT NULL,
    value        VARCHAR,
    rule         VARCHAR NOT NULL,
    affected     BIGINT NOT NULL
);
COMMENT ON TABLE cleaned_values IS 'One value stored otherwise than written.';
COMMENT ON COLUMN cleaned_values.source_id IS 'where it came from';
COMMENT ON COLUMN cleaned_values.source_row IS 'line or sheet row, counted from 1; null: all rows that hold the value';
COMMENT ON COLUMN cleaned_values.table_name IS 'table it went to';
COMMENT ON COLUMN cleaned_values.column_name IS 'its column';
COMMENT ON COLUMN cleaned_values.raw IS 'text as written';
COMMENT ON COLUMN cleaned_values.value IS 'value as stored; null: read as missing';
COMMENT ON COLUMN cleaned_values.rule IS 'rule that changed it';
COMMENT ON COLUMN cleaned_values.affected IS 'how many rows';

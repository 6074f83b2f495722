-- One earlier state of a record that a later stamp replaced.
CREATE TABLE history (
    table_name  VARCHAR NOT NULL,
    source_id   INTEGER NOT NULL,
    source_row  BIGINT NOT NULL,
    stamp       TIMESTAMP NOT NULL,
    content     VARCHAR NOT NULL
);
COMMENT ON TABLE history IS 'One earlier state of a record.';
COMMENT ON COLUMN history.table_name IS 'table it belonged to';
COMMENT ON COLUMN history.source_id IS 'where it came from';
COMMENT ON COLUMN history.source_row IS 'line or sheet row, counted from 1';
COMMENT ON COLUMN history.stamp IS 'when it was written, by the file''s own stamp';
COMMENT ON COLUMN history.content IS 'its fields as JSON';

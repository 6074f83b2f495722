-- One thing a reader of the records should know: a doubt, a choice made, a count.
CREATE TABLE remarks (
    source_id   INTEGER,
    table_name  VARCHAR,
    kind        VARCHAR NOT NULL,
    affected    BIGINT NOT NULL,
    text        VARCHAR NOT NULL
);
COMMENT ON TABLE remarks IS 'One thing a reader of the records should know.';
COMMENT ON COLUMN remarks.source_id IS 'file it concerns; null: the whole load';
COMMENT ON COLUMN remarks.table_name IS 'table it concerns';
COMMENT ON COLUMN remarks.kind IS 'short name of the kind of doubt';
COMMENT ON COLUMN remarks.affected IS 'how many rows';
COMMENT ON COLUMN remarks.text IS 'the sentence';

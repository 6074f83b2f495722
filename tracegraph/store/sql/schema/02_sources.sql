-- One file, sheet or query that was loaded, with its ledger:
-- seen = loaded + set_aside + repeats + furniture.
CREATE TABLE sources (
    source_id   INTEGER PRIMARY KEY,
    name        VARCHAR NOT NULL,
    sheet       VARCHAR,
    sha256      VARCHAR NOT NULL,
    reading     VARCHAR NOT NULL,
    load_no     INTEGER NOT NULL,
    encoding    VARCHAR,
    delimiter   VARCHAR,
    header_row  BIGINT,
    headers     VARCHAR,
    seen        BIGINT NOT NULL,
    loaded      BIGINT NOT NULL,
    set_aside   BIGINT NOT NULL,
    repeats     BIGINT NOT NULL,
    furniture   BIGINT NOT NULL
);
COMMENT ON TABLE sources IS 'One file, sheet or query that was loaded, with its ledger.';
COMMENT ON COLUMN sources.source_id IS 'number that the record tables point at';
COMMENT ON COLUMN sources.name IS 'path inside the folder of records';
COMMENT ON COLUMN sources.sheet IS 'sheet of a workbook';
COMMENT ON COLUMN sources.sha256 IS 'fingerprint of the bytes';
COMMENT ON COLUMN sources.reading IS 'fingerprint of the rules by which it was read';
COMMENT ON COLUMN sources.load_no IS 'which load brought it';
COMMENT ON COLUMN sources.encoding IS 'how its bytes were read as text';
COMMENT ON COLUMN sources.delimiter IS 'what cuts its lines';
COMMENT ON COLUMN sources.header_row IS 'line or sheet row of its header';
COMMENT ON COLUMN sources.headers IS 'its headers, a list as JSON';
COMMENT ON COLUMN sources.seen IS 'rows seen = loaded + set aside + repeats + furniture';
COMMENT ON COLUMN sources.loaded IS 'rows that became records';
COMMENT ON COLUMN sources.set_aside IS 'rows that could not be read, kept with their reason';
COMMENT ON COLUMN sources.repeats IS 'rows that say what an earlier row said, or were mended in a later file';
COMMENT ON COLUMN sources.furniture IS 'titles, blank lines, repeated headers, totals';

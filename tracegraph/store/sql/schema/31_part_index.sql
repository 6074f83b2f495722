-- One molded part with the hull it became part of.
CREATE TABLE part_index (
    part_id      INTEGER PRIMARY KEY,
    part_serial  VARCHAR NOT NULL,
    part         VARCHAR NOT NULL,
    hull_id      INTEGER,
    mold_no      VARCHAR,
    pull_no      BIGINT,
    pulled_at    TIMESTAMP
);
COMMENT ON TABLE part_index IS 'One molded part with its hull.';
COMMENT ON COLUMN part_index.part_id IS 'number inside this build';
COMMENT ON COLUMN part_index.part_serial IS 'serial of the part';
COMMENT ON COLUMN part_index.part IS 'what it is';
COMMENT ON COLUMN part_index.hull_id IS 'hull it went into; null: not known';
COMMENT ON COLUMN part_index.mold_no IS 'mold, under its present number';
COMMENT ON COLUMN part_index.pull_no IS 'pull of that mold';
COMMENT ON COLUMN part_index.pulled_at IS 'when it left the mold';

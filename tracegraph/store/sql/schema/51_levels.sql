-- One answer to the question of a family.
CREATE TABLE levels (
    level_id   INTEGER PRIMARY KEY,
    family_id  INTEGER NOT NULL,
    level      VARCHAR NOT NULL,
    low        DOUBLE,
    high       DOUBLE
);
COMMENT ON TABLE levels IS 'One answer to the question of a family.';
COMMENT ON COLUMN levels.level_id IS 'number inside this build';
COMMENT ON COLUMN levels.family_id IS 'the question';
COMMENT ON COLUMN levels.level IS 'the answer as text';
COMMENT ON COLUMN levels.low IS 'lower edge of a band, included';
COMMENT ON COLUMN levels.high IS 'upper edge of a band, excluded but in the last';

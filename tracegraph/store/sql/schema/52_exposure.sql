-- One hull with one answer to one question; unique. A null level says that a use was not
-- written down, level 0 that the hull is known to carry none of the levels. No row: the
-- question does not apply to the hull.
CREATE TABLE exposure (
    family_id  INTEGER NOT NULL,
    level_id   INTEGER,
    hull_id    INTEGER NOT NULL,
    complete   BOOLEAN NOT NULL,
    first_row  BOOLEAN NOT NULL
);
COMMENT ON TABLE exposure IS 'One hull with one answer to one question.';
COMMENT ON COLUMN exposure.family_id IS 'the question';
COMMENT ON COLUMN exposure.level_id IS 'the answer; 0: known to carry none; null: a use that was not written down';
COMMENT ON COLUMN exposure.hull_id IS 'the hull';
COMMENT ON COLUMN exposure.complete IS 'false when any answer of this hull to this question is missing';
COMMENT ON COLUMN exposure.first_row IS 'true on one row of each hull and question, for counting hulls once';

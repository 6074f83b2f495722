-- One hull with the measured value behind its band in one family; unique. No row: nothing
-- was measured.
CREATE TABLE measured_values (
    family_id  INTEGER NOT NULL,
    hull_id    INTEGER NOT NULL,
    value      DOUBLE NOT NULL,
    low        DOUBLE NOT NULL,
    high       DOUBLE NOT NULL
);
COMMENT ON TABLE measured_values IS 'One hull with the measured value behind its band in one family.';
COMMENT ON COLUMN measured_values.family_id IS 'the question; its unit is that of the value';
COMMENT ON COLUMN measured_values.hull_id IS 'the hull';
COMMENT ON COLUMN measured_values.value IS 'mean over the operations of this hull that were measured';
COMMENT ON COLUMN measured_values.low IS 'smallest among them';
COMMENT ON COLUMN measured_values.high IS 'largest among them';

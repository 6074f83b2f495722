-- One of several values of one hull in one family; what is behind its mean in measured_values.
CREATE TABLE repeated_values (
    family_id  INTEGER NOT NULL,
    hull_id    INTEGER NOT NULL,
    value      DOUBLE NOT NULL
);
COMMENT ON TABLE repeated_values IS 'One of several values of one hull in one family.';
COMMENT ON COLUMN repeated_values.family_id IS 'the question; its unit is that of the value';
COMMENT ON COLUMN repeated_values.hull_id IS 'the hull';
COMMENT ON COLUMN repeated_values.value IS 'one value; a hull that was measured once has none here';

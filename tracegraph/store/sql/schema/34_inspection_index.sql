-- One check with the hull and the part that it was made on.
CREATE TABLE inspection_index (
    inspection_id  VARCHAR NOT NULL,
    hull_id        INTEGER,
    part_id        INTEGER,
    part           VARCHAR
);
COMMENT ON TABLE inspection_index IS 'One check with its hull and part.';
COMMENT ON COLUMN inspection_index.inspection_id IS 'identity of the check';
COMMENT ON COLUMN inspection_index.hull_id IS 'hull; null: not known';
COMMENT ON COLUMN inspection_index.part_id IS 'part; null: a check of the whole hull, or not known';
COMMENT ON COLUMN inspection_index.part IS 'what part; hull for a check of the whole hull; null: not known';

-- One fitted component with its hull.
CREATE TABLE component_index (
    component_id  INTEGER PRIMARY KEY,
    hull_id       INTEGER,
    component     VARCHAR NOT NULL,
    serial_no     VARCHAR,
    supplier      VARCHAR,
    lot_no        VARCHAR,
    fitted_at     TIMESTAMP,
    fitted_by     VARCHAR
);
COMMENT ON TABLE component_index IS 'One fitted component with its hull.';
COMMENT ON COLUMN component_index.component_id IS 'number inside this build';
COMMENT ON COLUMN component_index.hull_id IS 'hull; null: not known';
COMMENT ON COLUMN component_index.component IS 'what it is';
COMMENT ON COLUMN component_index.serial_no IS 'its own serial';
COMMENT ON COLUMN component_index.supplier IS 'supplier code';
COMMENT ON COLUMN component_index.lot_no IS 'supplier''s lot';
COMMENT ON COLUMN component_index.fitted_at IS 'when';
COMMENT ON COLUMN component_index.fitted_by IS 'code of the person';

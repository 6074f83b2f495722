-- One operation with the hull and the part it was done on.
CREATE TABLE operation_index (
    operation_no  INTEGER PRIMARY KEY,
    operation_id  VARCHAR NOT NULL,
    hull_id       INTEGER,
    part_id       INTEGER,
    part          VARCHAR,
    step          VARCHAR NOT NULL,
    station       VARCHAR,
    equipment     VARCHAR,
    operator      VARCHAR,
    crew          VARCHAR,
    shift         VARCHAR,
    started_at    TIMESTAMP NOT NULL,
    finished_at   TIMESTAMP,
    attempt       BIGINT
);
COMMENT ON TABLE operation_index IS 'One operation with its hull and part.';
COMMENT ON COLUMN operation_index.operation_no IS 'number inside this build';
COMMENT ON COLUMN operation_index.operation_id IS 'identity of the operation';
COMMENT ON COLUMN operation_index.hull_id IS 'hull; null: not known';
COMMENT ON COLUMN operation_index.part_id IS 'part; null: done on the whole hull';
COMMENT ON COLUMN operation_index.part IS 'what part; hull for work on the whole hull';
COMMENT ON COLUMN operation_index.step IS 'kind of work';
COMMENT ON COLUMN operation_index.station IS 'station';
COMMENT ON COLUMN operation_index.equipment IS 'equipment';
COMMENT ON COLUMN operation_index.operator IS 'code of the person';
COMMENT ON COLUMN operation_index.crew IS 'code of the crew';
COMMENT ON COLUMN operation_index.shift IS 'shift';
COMMENT ON COLUMN operation_index.started_at IS 'start, UTC';
COMMENT ON COLUMN operation_index.finished_at IS 'end, UTC';
COMMENT ON COLUMN operation_index.attempt IS 'attempt';

-- One check of a part or hull.
CREATE TABLE inspections (
    inspection_id  VARCHAR NOT NULL,
    part_serial    VARCHAR,
    hull_serial    VARCHAR,
    job_no         VARCHAR,
    checkpoint     VARCHAR NOT NULL,
    "at"           TIMESTAMP NOT NULL,
    inspector      VARCHAR,
    result         VARCHAR NOT NULL,
    value          DOUBLE,
    unit           VARCHAR,
    defect         VARCHAR,
    zone           VARCHAR,
    attempt        BIGINT,
    photo          VARCHAR,
    note           VARCHAR,
    source_id      INTEGER NOT NULL,
    source_row     BIGINT NOT NULL
);

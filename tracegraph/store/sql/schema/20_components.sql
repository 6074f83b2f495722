-- One bought item fitted to a hull.
CREATE TABLE components (
    hull_serial  VARCHAR,
    job_no       VARCHAR,
    component    VARCHAR NOT NULL,
    serial_no    VARCHAR,
    supplier     VARCHAR,
    lot_no       VARCHAR,
    fitted_at    TIMESTAMP,
    fitted_by    VARCHAR,
    source_id    INTEGER NOT NULL,
    source_row   BIGINT NOT NULL
);

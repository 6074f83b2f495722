-- One piece of work at one station by one crew at one time.
CREATE TABLE operations (
    operation_id  VARCHAR NOT NULL,
    step          VARCHAR NOT NULL,
    part_serial   VARCHAR,
    hull_serial   VARCHAR,
    job_no        VARCHAR,
    station       VARCHAR,
    equipment     VARCHAR,
    operator      VARCHAR,
    crew          VARCHAR,
    shift         VARCHAR,
    started_at    TIMESTAMP NOT NULL,
    finished_at   TIMESTAMP,
    attempt       BIGINT,
    source_id     INTEGER NOT NULL,
    source_row    BIGINT NOT NULL
);

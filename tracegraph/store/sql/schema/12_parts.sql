-- One molded piece that became part of a hull.
CREATE TABLE parts (
    part_serial  VARCHAR NOT NULL,
    part         VARCHAR NOT NULL,
    hull_serial  VARCHAR,
    job_no       VARCHAR,
    mold_no      VARCHAR,
    pull_no      BIGINT,
    pulled_at    TIMESTAMP,
    source_id    INTEGER NOT NULL,
    source_row   BIGINT NOT NULL
);

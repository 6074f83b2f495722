-- One hull that the plant builds.
CREATE TABLE hulls (
    hull_serial    VARCHAR NOT NULL,
    job_no         VARCHAR,
    hin            VARCHAR,
    model          VARCHAR NOT NULL,
    options        VARCHAR,
    completed_on   DATE,
    shipped_on     DATE,
    in_service_on  DATE,
    exit_on        DATE,
    dealer         VARCHAR,
    place          VARCHAR,
    plant          VARCHAR,
    source_id      INTEGER NOT NULL,
    source_row     BIGINT NOT NULL
);

-- One line of a warranty claim.
CREATE TABLE claims (
    claim_no      VARCHAR NOT NULL,
    line_no       VARCHAR,
    hull_serial   VARCHAR NOT NULL,
    opened_on     DATE NOT NULL,
    failed_on     DATE,
    symptom       VARCHAR NOT NULL,
    component     VARCHAR,
    zone          VARCHAR,
    safety_class  BIGINT,
    certainty     VARCHAR,
    solicited     BOOLEAN,
    engine_hours  DOUBLE,
    cost          DOUBLE,
    labour_hours  DOUBLE,
    repeat_of     VARCHAR,
    status        VARCHAR,
    note          VARCHAR,
    source_id     INTEGER NOT NULL,
    source_row    BIGINT NOT NULL
);

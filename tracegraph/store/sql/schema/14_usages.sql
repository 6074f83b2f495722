-- Material used by one operation.
CREATE TABLE usages (
    operation_id  VARCHAR NOT NULL,
    material      VARCHAR NOT NULL,
    lot_no        VARCHAR,
    drum_no       VARCHAR,
    quantity      DOUBLE,
    unit          VARCHAR,
    source_id     INTEGER NOT NULL,
    source_row    BIGINT NOT NULL
);

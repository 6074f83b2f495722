-- One value written down during an operation.
CREATE TABLE readings (
    operation_id  VARCHAR NOT NULL,
    quantity      VARCHAR NOT NULL,
    value         DOUBLE NOT NULL,
    unit          VARCHAR NOT NULL,
    source_id     INTEGER NOT NULL,
    source_row    BIGINT NOT NULL
);

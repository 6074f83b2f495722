-- One value of a station's logger.
CREATE TABLE ambient (
    station     VARCHAR NOT NULL,
    "at"        TIMESTAMP NOT NULL,
    quantity    VARCHAR NOT NULL,
    value       DOUBLE NOT NULL,
    unit        VARCHAR NOT NULL,
    source_id   INTEGER NOT NULL,
    source_row  BIGINT NOT NULL
);

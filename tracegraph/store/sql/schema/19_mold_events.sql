-- Something done to a mold.
CREATE TABLE mold_events (
    mold_no     VARCHAR NOT NULL,
    "at"        TIMESTAMP NOT NULL,
    event       VARCHAR NOT NULL,
    pull_no     BIGINT,
    note        VARCHAR,
    source_id   INTEGER NOT NULL,
    source_row  BIGINT NOT NULL
);

-- Records that give way to another: which, to which, and why.
CREATE OR REPLACE TEMP TABLE given_way (
    table_name     VARCHAR,
    row_key        BIGINT,
    source_id      INTEGER,
    source_row     BIGINT,
    stamp          TIMESTAMP,
    fate           VARCHAR,
    kept_source    INTEGER,
    kept_row       BIGINT,
    content        VARCHAR
);
CREATE OR REPLACE TEMP TABLE equal_lines (table_name VARCHAR, source_id INTEGER, affected BIGINT);

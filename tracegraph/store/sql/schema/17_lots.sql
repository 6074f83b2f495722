-- One lot of material received.
CREATE TABLE lots (
    material      VARCHAR NOT NULL,
    lot_no        VARCHAR NOT NULL,
    supplier      VARCHAR,
    made_on       DATE,
    received_on   DATE,
    expires_on    DATE,
    received_qty  DOUBLE,
    on_hand_qty   DOUBLE,
    scrapped_qty  DOUBLE,
    unit          VARCHAR,
    source_id     INTEGER NOT NULL,
    source_row    BIGINT NOT NULL
);

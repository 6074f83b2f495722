-- One share of a lot that was mixed in the shop.
CREATE TABLE blends (
    material         VARCHAR NOT NULL,
    lot_no           VARCHAR NOT NULL,
    parent_material  VARCHAR,
    parent_lot_no    VARCHAR NOT NULL,
    share            DOUBLE NOT NULL,
    source_id        INTEGER NOT NULL,
    source_row       BIGINT NOT NULL
);

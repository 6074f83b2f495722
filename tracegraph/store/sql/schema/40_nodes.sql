-- One thing of the genealogy.
CREATE TABLE nodes (
    node_id  INTEGER PRIMARY KEY,
    kind     VARCHAR NOT NULL,
    key      VARCHAR NOT NULL,
    label    VARCHAR NOT NULL
);
COMMENT ON TABLE nodes IS 'One thing of the genealogy.';
COMMENT ON COLUMN nodes.node_id IS 'number inside this build';
COMMENT ON COLUMN nodes.kind IS 'claim, hull, part, operation, lot, drum, supplier, mold, operator, equipment, station, component';
COMMENT ON COLUMN nodes.key IS 'identity within its kind; a lot is MATERIAL|LOT, a drum MATERIAL|LOT|DRUM';
COMMENT ON COLUMN nodes.label IS 'what a reader sees';

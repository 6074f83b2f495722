-- One question that can be asked of a hull.
CREATE TABLE families (
    family_id  INTEGER PRIMARY KEY,
    family     VARCHAR NOT NULL UNIQUE,
    kind       VARCHAR NOT NULL,
    part       VARCHAR NOT NULL,
    step       VARCHAR NOT NULL,
    stage      INTEGER NOT NULL,
    unit       VARCHAR
);
COMMENT ON TABLE families IS 'One question that can be asked of a hull.';
COMMENT ON COLUMN families.family_id IS 'number inside this build, in the order of display';
COMMENT ON COLUMN families.family IS 'name: part, step, thing';
COMMENT ON COLUMN families.kind IS 'material lot, drum, supplier, mold, mold condition, equipment, ambient condition, process reading, timing, component lot, people';
COMMENT ON COLUMN families.part IS 'part it belongs to, or any part';
COMMENT ON COLUMN families.step IS 'step it belongs to; empty for the part as a whole';
COMMENT ON COLUMN families.stage IS 'place of the step in the order of building, from 1';
COMMENT ON COLUMN families.unit IS 'unit of a banded value';

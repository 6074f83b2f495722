-- One number that leads nowhere, with one existing number that it may stand for.
CREATE TABLE near_matches (
    link     VARCHAR NOT NULL,
    written  VARCHAR NOT NULL,
    near     VARCHAR NOT NULL,
    reason   VARCHAR NOT NULL,
    place    INTEGER NOT NULL,
    records  BIGINT NOT NULL
);
COMMENT ON TABLE near_matches IS 'One number that leads nowhere, with one that it may stand for.';
COMMENT ON COLUMN near_matches.link IS 'claim to hull, part to hull, operation to part, use to lot';
COMMENT ON COLUMN near_matches.written IS 'number as it stands; of a lot MATERIAL|LOT';
COMMENT ON COLUMN near_matches.near IS 'existing number that it may stand for';
COMMENT ON COLUMN near_matches.reason IS 'what makes them near';
COMMENT ON COLUMN near_matches.place IS '1 for the nearest';
COMMENT ON COLUMN near_matches.records IS 'records that carry the written number';

-- One accepted meaning that was used when this build was linked.
CREATE TABLE meanings (
    link     VARCHAR NOT NULL,
    written  VARCHAR NOT NULL,
    meant    VARCHAR NOT NULL
);
COMMENT ON TABLE meanings IS 'One accepted meaning that was used when this build was linked.';
COMMENT ON COLUMN meanings.link IS 'claim to hull, part to hull, operation to part, use to lot';
COMMENT ON COLUMN meanings.written IS 'number as it stands in the records';
COMMENT ON COLUMN meanings.meant IS 'number that it stands for';

-- One plant whose store was joined into this build; empty in a plant's own store.
CREATE TABLE plants (
    plant         VARCHAR PRIMARY KEY,
    store         VARCHAR NOT NULL,
    data_version  VARCHAR NOT NULL,
    time_zone     VARCHAR NOT NULL,
    hulls         BIGINT NOT NULL,
    claims        BIGINT NOT NULL,
    last_claim_on DATE
);
COMMENT ON TABLE plants IS 'One plant whose store was joined into this build.';
COMMENT ON COLUMN plants.plant IS 'its name, which stands in front of its own numbers';
COMMENT ON COLUMN plants.store IS 'directory of its store';
COMMENT ON COLUMN plants.data_version IS 'version of its records that was joined';
COMMENT ON COLUMN plants.time_zone IS 'its time zone';
COMMENT ON COLUMN plants.hulls IS 'its hulls';
COMMENT ON COLUMN plants.claims IS 'its claim lines that reach a hull of its own';
COMMENT ON COLUMN plants.last_claim_on IS 'last day on which one of its claims was opened';

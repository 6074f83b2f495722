-- A number as it stands where plants are joined: within its plant.
CREATE OR REPLACE TEMP MACRO own(plant, number) AS plant || ':' || number;

-- A moment on the plant's own clock; as it is where all plants keep one clock.
CREATE OR REPLACE TEMP MACRO on_clock(zone, moment) AS
    CASE WHEN zone IS NULL THEN moment ELSE timezone(zone, timezone('UTC', moment)) END;

-- plant_lots: one lot number of one plant, with its supplier where one is known.
CREATE TEMP TABLE plant_lots (
    plant     VARCHAR NOT NULL,
    material  VARCHAR NOT NULL,
    lot_no    VARCHAR NOT NULL,
    supplier  VARCHAR,
    mixed     BOOLEAN NOT NULL
);

-- plant_claims: one claim line of one plant, and whether it reaches a hull there.
CREATE TEMP TABLE plant_claims (
    place       INTEGER NOT NULL,
    source_id   INTEGER NOT NULL,
    source_row  BIGINT NOT NULL,
    claim_no    VARCHAR NOT NULL,
    line_no     VARCHAR NOT NULL,
    opened_on   DATE NOT NULL,
    symptom     VARCHAR NOT NULL,
    written     VARCHAR NOT NULL,
    reached     BOOLEAN NOT NULL
);

-- One hull with the number that stands for it inside the store, and its dates put in order.
CREATE TABLE hull_index (
    hull_id            INTEGER PRIMARY KEY,
    hull_serial        VARCHAR NOT NULL,
    job_no             VARCHAR,
    hin                VARCHAR,
    hin_key            VARCHAR,
    model              VARCHAR NOT NULL,
    dealer             VARCHAR,
    place              VARCHAR,
    built_on           DATE,
    shipped_on         DATE,
    delivered_on       DATE,
    delivered_imputed  BOOLEAN NOT NULL,
    exit_on            DATE,
    plant              VARCHAR
);
COMMENT ON TABLE hull_index IS 'One hull with its number inside the store.';
COMMENT ON COLUMN hull_index.hull_id IS 'number inside this build, by order of serial';
COMMENT ON COLUMN hull_index.hull_serial IS 'the plant''s own serial';
COMMENT ON COLUMN hull_index.job_no IS 'job number';
COMMENT ON COLUMN hull_index.hin IS 'hull identification number as written';
COMMENT ON COLUMN hull_index.hin_key IS 'the same without spaces, hyphens and country, for matching';
COMMENT ON COLUMN hull_index.model IS 'model';
COMMENT ON COLUMN hull_index.dealer IS 'dealer code';
COMMENT ON COLUMN hull_index.place IS 'plant, transit, dealer or owner: recorded, else from the dates';
COMMENT ON COLUMN hull_index.built_on IS 'day of completion, else of the last operation, else of shipping';
COMMENT ON COLUMN hull_index.shipped_on IS 'day it left the plant';
COMMENT ON COLUMN hull_index.delivered_on IS 'day in service, else ship day plus the dealer''s median lag';
COMMENT ON COLUMN hull_index.delivered_imputed IS 'true when delivered_on rests on a median lag';
COMMENT ON COLUMN hull_index.exit_on IS 'day it left observation';
COMMENT ON COLUMN hull_index.plant IS 'plant that built it; null: only one is known';

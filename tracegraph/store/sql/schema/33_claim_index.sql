-- One claim line with the hull it reached.
CREATE TABLE claim_index (
    claim_id      INTEGER PRIMARY KEY,
    claim_no      VARCHAR NOT NULL,
    line_no       VARCHAR,
    hull_id       INTEGER,
    reached_by    VARCHAR,
    opened_on     DATE NOT NULL,
    failed_on     DATE NOT NULL,
    failed_known  BOOLEAN NOT NULL,
    symptom       VARCHAR NOT NULL,
    component     VARCHAR,
    zone          VARCHAR,
    safety_class  BIGINT,
    certainty     VARCHAR NOT NULL,
    solicited     BOOLEAN NOT NULL,
    cost          DOUBLE,
    labour_hours  DOUBLE,
    repeat_of     VARCHAR,
    note          VARCHAR
);
COMMENT ON TABLE claim_index IS 'One claim line with the hull it reached.';
COMMENT ON COLUMN claim_index.claim_id IS 'number inside this build';
COMMENT ON COLUMN claim_index.claim_no IS 'claim number';
COMMENT ON COLUMN claim_index.line_no IS 'line within the claim';
COMMENT ON COLUMN claim_index.hull_id IS 'hull; null: the number written is not a hull of ours';
COMMENT ON COLUMN claim_index.reached_by IS 'serial, hin, or serial and day (a serial of several hulls): what led to the hull';
COMMENT ON COLUMN claim_index.opened_on IS 'day opened';
COMMENT ON COLUMN claim_index.failed_on IS 'day of failure, else the day opened';
COMMENT ON COLUMN claim_index.failed_known IS 'false when failed_on is the day opened';
COMMENT ON COLUMN claim_index.symptom IS 'what is wrong';
COMMENT ON COLUMN claim_index.component IS 'item concerned';
COMMENT ON COLUMN claim_index.zone IS 'where on the boat';
COMMENT ON COLUMN claim_index.safety_class IS '1 may hurt someone, 2 function, 3 appearance';
COMMENT ON COLUMN claim_index.certainty IS 'confirmed, probable or possible; blank counts as probable';
COMMENT ON COLUMN claim_index.solicited IS 'found because the maker asked';
COMMENT ON COLUMN claim_index.cost IS 'cost';
COMMENT ON COLUMN claim_index.labour_hours IS 'labour hours';
COMMENT ON COLUMN claim_index.repeat_of IS 'claim that this one repeats';
COMMENT ON COLUMN claim_index.note IS 'dealer''s words';

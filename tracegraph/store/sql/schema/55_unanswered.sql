-- One hull without any record on a question that applies to its model.
CREATE TABLE unanswered (
    family_id  INTEGER NOT NULL,
    hull_id    INTEGER NOT NULL
);
COMMENT ON TABLE unanswered IS 'One hull without any record on a question that applies to its model.';
COMMENT ON COLUMN unanswered.family_id IS 'the question';
COMMENT ON COLUMN unanswered.hull_id IS 'the hull';

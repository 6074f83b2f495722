-- Answers of a flat sheet: one factor is one question.
CREATE TEMP TABLE named_questions AS
SELECT
    CAST(place AS INTEGER) AS question_id, family, 'factor' AS kind, 'any part' AS part, '' AS step,
    CAST(place AS INTEGER) AS stage, CAST(NULL AS VARCHAR) AS unit
FROM given_factors;

CREATE TEMP TABLE replies AS
SELECT CAST(hull_id AS INTEGER) AS hull_id, CAST(place AS INTEGER) AS question_id, level FROM given_answers;

CREATE TEMP TABLE bands AS
SELECT CAST(place AS INTEGER) AS question_id, level, low, high FROM given_bands;

CREATE TEMP TABLE cohort AS SELECT CAST(hull_id AS INTEGER) AS hull_id, affected FROM given_cohort;

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

-- All units with their stratum, from 0; -1 where it is not known.
CREATE TEMP TABLE all_units AS
SELECT CAST(hull_id AS INTEGER) AS hull_id, affected, CAST(stratum AS INTEGER) AS stratum FROM given_cohort;

CREATE TEMP TABLE cohort AS SELECT hull_id, affected FROM all_units;

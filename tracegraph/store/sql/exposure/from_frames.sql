-- Answers given as they are: hull, family, level; families described beside them.
CREATE TEMP TABLE named_questions AS
SELECT
    CAST(row_number() OVER (ORDER BY family) AS INTEGER) AS question_id,
    family, kind, part, step, CAST(stage AS INTEGER) AS stage, CAST(NULL AS VARCHAR) AS unit
FROM given_families;

CREATE TEMP TABLE replies AS
SELECT h.hull_id, q.question_id, e.level
FROM given_exposure AS e
JOIN hull_index AS h USING (hull_serial)
JOIN named_questions AS q USING (family);

CREATE TEMP TABLE bands (question_id INTEGER, level VARCHAR, low DOUBLE, high DOUBLE);

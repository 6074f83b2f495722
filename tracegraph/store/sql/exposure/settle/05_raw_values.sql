-- Measured answers as they are, one row for each hull and family that is put into bands; a
-- hull with several operations of one kind takes their mean.
CREATE TEMP TABLE raw_values AS
SELECT
    v.hull_id,
    any_value(n.family) AS family,
    avg(v.value) AS value,
    min(v.value) AS low,
    max(v.value) AS high
FROM values_measured AS v
JOIN named_questions AS n USING (question_id)
WHERE v.value IS NOT NULL
GROUP BY v.hull_id, v.question_id;

-- The single values of a hull that has several, and what was not written down at all: a later
-- load goes on from them.
CREATE TEMP TABLE repeated AS
SELECT n.family, v.hull_id, v.value
FROM (
    SELECT hull_id, question_id, value FROM values_measured WHERE value IS NOT NULL
    QUALIFY count(*) OVER (PARTITION BY question_id, hull_id) > 1
) AS v
JOIN named_questions AS n USING (question_id);

CREATE TEMP TABLE blanks AS
SELECT n.family, u.hull_id FROM unrecorded AS u JOIN named_questions AS n USING (question_id);

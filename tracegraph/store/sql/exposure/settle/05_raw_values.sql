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

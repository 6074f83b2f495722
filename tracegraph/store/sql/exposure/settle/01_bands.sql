-- Each value falls into the band of its question; edges come from the whole production,
-- before any claim is looked at. A band holds its lower edge; the first and the last are
-- open.
INSERT INTO replies
SELECT DISTINCT v.hull_id, v.question_id, b.level
FROM values_measured AS v
JOIN bands AS b ON b.question_id = v.question_id AND v.value >= b.low AND (v.value < b.high OR isinf(b.high))
UNION ALL
SELECT DISTINCT hull_id, question_id, CAST(NULL AS VARCHAR)
FROM values_measured
WHERE value IS NULL AND question_id IN (SELECT question_id FROM bands);

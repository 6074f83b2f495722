-- The same question over all parts and steps, where more than one part or step asks it.
CREATE TEMP TABLE shared AS
SELECT
    CAST((SELECT max(question_id) FROM questions) + row_number() OVER (ORDER BY kind, thing) AS INTEGER) AS question_id,
    kind, thing
FROM questions JOIN asked USING (question_id)
WHERE kind IN ('material lot', 'drum', 'supplier') AND NOT (kind = 'supplier' AND thing = 'supplier')
GROUP BY kind, thing
HAVING count(*) > 1;

INSERT INTO replies
SELECT DISTINCT r.hull_id, s.question_id, r.level
FROM replies AS r
JOIN questions AS q USING (question_id)
JOIN shared AS s ON s.kind = q.kind AND s.thing = q.thing;

INSERT INTO questions
SELECT question_id, kind, 'any part', '', thing FROM shared;

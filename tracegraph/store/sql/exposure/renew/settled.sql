-- Hulls in question without a record where a question applies to their model.
CREATE TEMP TABLE unrecorded AS
SELECT h.hull_id, b.question_id
FROM by_model AS b
JOIN hull_index AS h ON h.model = b.model AND coalesce(h.plant, '') = b.plant
JOIN hulls_in_question USING (hull_id)
ANTI JOIN replies AS r ON r.hull_id = h.hull_id AND r.question_id = b.question_id
WHERE b.applies;

INSERT INTO replies
SELECT hull_id, question_id, CAST(NULL AS VARCHAR) FROM unrecorded;

-- The same question over all parts and steps.
INSERT INTO replies
SELECT DISTINCT r.hull_id, a.question_id, r.level
FROM replies AS r
JOIN questions AS q USING (question_id)
JOIN questions AS a ON a.part = 'any part' AND a.kind = q.kind AND a.thing = q.thing;

-- All other hulls where bands moved: their values in the new bands, and what else they answered.
INSERT INTO replies
SELECT DISTINCT v.hull_id, v.family_id, b.level
FROM others_values AS v
JOIN bands AS b ON b.question_id = v.family_id AND v.value >= b.low AND (v.value < b.high OR isinf(b.high))
WHERE v.family_id IN (SELECT family_id FROM moved)
UNION ALL
SELECT o.hull_id, e.family_id, CASE WHEN e.level_id = 0 THEN '' ELSE l.level END
FROM earlier.exposure AS e
JOIN others AS o ON o.earlier_id = e.hull_id
LEFT JOIN earlier.levels AS l USING (level_id)
WHERE e.family_id IN (SELECT family_id FROM moved) AND l.low IS NULL AND l.high IS NULL;

-- Levels that the other hulls keep.
CREATE TEMP TABLE levels_kept AS
WITH gone AS (
    SELECT level_id, count(*) AS times FROM earlier.exposure
    WHERE hull_id NOT IN (SELECT earlier_id FROM others)
    GROUP BY level_id
),
had AS (
    SELECT level_id, count(*) AS times FROM earlier.exposure GROUP BY level_id
)
SELECT l.level_id, l.family_id AS question_id, l.level
FROM earlier.levels AS l
JOIN had USING (level_id)
LEFT JOIN gone USING (level_id)
WHERE had.times > coalesce(gone.times, 0) AND l.family_id NOT IN (SELECT family_id FROM moved);

CREATE TEMP TABLE written_here AS
SELECT * FROM replies;

DROP TABLE replies;

CREATE TEMP TABLE replies AS
SELECT DISTINCT question_id, level FROM written_here WHERE level <> ''
UNION
SELECT question_id, level FROM levels_kept;

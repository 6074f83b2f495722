-- Families whose bands moved: all their values are put into bands again. A band in use that
-- stands as it was holds the values that it held.
CREATE TEMP TABLE moved AS
SELECT DISTINCT family_id
FROM (
    SELECT family_id, level, low, high FROM earlier.levels WHERE low IS NOT NULL OR high IS NOT NULL
    EXCEPT
    SELECT question_id, level, CASE WHEN isfinite(low) THEN low END, CASE WHEN isfinite(high) THEN high END
    FROM bands
);

CREATE TEMP TABLE replies AS
SELECT hull_id, question_id, level FROM new_replies
UNION ALL
SELECT DISTINCT v.hull_id, v.question_id, b.level
FROM new_values AS v
JOIN bands AS b ON b.question_id = v.question_id AND v.value >= b.low AND (v.value < b.high OR isinf(b.high))
UNION ALL
SELECT DISTINCT hull_id, question_id, CAST(NULL AS VARCHAR)
FROM new_values
WHERE value IS NULL AND question_id IN (SELECT question_id FROM bands);

-- Answers by question, plant and model: of the hulls in question, and of all others, whose rows
-- include those that stand for no record at all.
CREATE TEMP TABLE by_model AS
WITH made AS (
    SELECT hull_id, model, coalesce(plant, '') AS plant FROM hull_index
),
mine AS (
    SELECT question_id, plant, model, count(*) AS hulls
    FROM (SELECT DISTINCT question_id, hull_id FROM replies) JOIN made USING (hull_id)
    GROUP BY ALL
),
placed AS (
    SELECT o.earlier_id, h.plant, h.model FROM others AS o JOIN made AS h USING (hull_id)
),
kept AS (
    SELECT e.family_id AS question_id, p.plant, p.model, count(*) AS hulls
    FROM earlier.exposure AS e JOIN placed AS p ON p.earlier_id = e.hull_id
    WHERE e.first_row
    GROUP BY ALL
),
blank AS (
    SELECT u.family_id AS question_id, p.plant, p.model, count(*) AS hulls
    FROM earlier.unanswered AS u JOIN placed AS p ON p.earlier_id = u.hull_id
    GROUP BY ALL
),
sizes AS (
    SELECT h.plant, h.model, count(*) AS hulls, count(p.earlier_id) AS others
    FROM made AS h
    LEFT JOIN others AS p ON p.hull_id = h.hull_id
    GROUP BY h.plant, h.model
),
counted AS (
    SELECT
        question_id, plant, model,
        coalesce(mine.hulls, 0) + coalesce(kept.hulls, 0) - coalesce(blank.hulls, 0) AS answered,
        coalesce(kept.hulls, 0) AS rows_kept,
        coalesce(blank.hulls, 0) AS blanks_kept
    FROM mine
    FULL JOIN kept USING (question_id, plant, model)
    LEFT JOIN blank USING (question_id, plant, model)
)
SELECT c.*, c.answered * 2 >= s.hulls AS applies, s.others
FROM counted AS c JOIN sizes AS s USING (plant, model)
WHERE c.question_id IN (SELECT question_id FROM questions WHERE part <> 'any part');

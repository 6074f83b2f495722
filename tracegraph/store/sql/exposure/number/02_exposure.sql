-- Unique rows, in the order of the questions.
CREATE TEMP TABLE rows_once AS
SELECT DISTINCT
    n.family_id,
    CASE WHEN r.level = '' THEN 0 ELSE l.level_id END AS level_id,
    r.hull_id
FROM replies AS r
JOIN numbered AS n USING (question_id)
LEFT JOIN levels AS l ON l.family_id = n.family_id AND l.level = r.level;

-- Hulls with several answers to one question; all others have one row, which is the first.
INSERT INTO exposure
WITH several AS (
    SELECT
        family_id, hull_id,
        count(level_id) = count(*) AS complete,
        min(level_id) AS first_level
    FROM rows_once
    GROUP BY family_id, hull_id
    HAVING count(*) > 1
)
SELECT
    o.family_id, o.level_id, o.hull_id,
    coalesce(s.complete, o.level_id IS NOT NULL),
    s.hull_id IS NULL OR o.level_id IS NOT DISTINCT FROM s.first_level
FROM rows_once AS o
LEFT JOIN several AS s ON s.family_id = o.family_id AND s.hull_id = o.hull_id
ORDER BY o.family_id, o.level_id, o.hull_id;

DROP TABLE rows_once;
DROP TABLE numbered;
DROP TABLE named_questions;
DROP TABLE replies;
DROP TABLE bands;

-- Unique rows, in the order of the questions; kept_rows are settled already.
CREATE TEMP TABLE rows_found AS
SELECT
    n.family_id,
    CASE WHEN r.level = '' THEN 0 ELSE l.level_id END AS level_id,
    r.hull_id
FROM replies AS r
JOIN numbered AS n USING (question_id)
LEFT JOIN levels AS l ON l.family_id = n.family_id AND l.level = r.level;

-- Each hull and question once: most have one answer, and need no look at their rows again.
CREATE TEMP TABLE pairs AS
SELECT
    family_id, hull_id,
    min(level_id) AS first_level,
    max(level_id) AS last_level,
    count(level_id) AS written,
    count(*) AS found
FROM rows_found
GROUP BY family_id, hull_id;

INSERT INTO exposure
WITH several AS (
    SELECT family_id, hull_id, first_level, written = found AS complete
    FROM pairs
    WHERE written > 0 AND (written < found OR first_level < last_level)
)
SELECT family_id, first_level AS level_id, hull_id, written > 0, true
FROM pairs
WHERE written = 0 OR (written = found AND first_level = last_level)
UNION ALL
SELECT DISTINCT f.family_id, f.level_id, f.hull_id, s.complete, f.level_id IS NOT DISTINCT FROM s.first_level
FROM rows_found AS f
JOIN several AS s ON s.family_id = f.family_id AND s.hull_id = f.hull_id
UNION ALL
SELECT family_id, level_id, hull_id, complete, first_row FROM kept_rows
ORDER BY family_id, level_id, hull_id;

DROP VIEW kept_rows;
DROP TABLE rows_found;
DROP TABLE pairs;
DROP TABLE numbered;
DROP TABLE named_questions;
DROP TABLE replies;
DROP TABLE bands;

-- Unique rows, in the order of the questions.
INSERT INTO exposure
SELECT
    family_id,
    level_id,
    hull_id,
    count(level_id) OVER each_hull = count(*) OVER each_hull,
    row_number() OVER (each_hull ORDER BY level_id NULLS LAST) = 1
FROM (
    SELECT DISTINCT f.family_id, CASE WHEN d.level = '' THEN 0 ELSE l.level_id END AS level_id, d.hull_id
    FROM described AS d
    JOIN families AS f USING (family)
    LEFT JOIN levels AS l ON l.family_id = f.family_id AND l.level = d.level
)
WINDOW each_hull AS (PARTITION BY family_id, hull_id)
ORDER BY family_id, level_id, hull_id;

DROP TABLE described;

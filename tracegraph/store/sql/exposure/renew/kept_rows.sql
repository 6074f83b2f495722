-- Rows of the other hulls under the numbers of now; read once, so not written down here.
CREATE TEMP VIEW kept_rows AS
WITH renumbered AS (
    SELECT k.level_id AS earlier_id, l.level_id
    FROM levels_kept AS k
    JOIN numbered AS n USING (question_id)
    JOIN levels AS l ON l.family_id = n.family_id AND l.level = k.level
    UNION ALL
    SELECT 0, 0
)
SELECT n.family_id, r.level_id, o.hull_id, e.complete, e.first_row
FROM earlier.exposure AS e
JOIN others AS o ON o.earlier_id = e.hull_id
JOIN numbered AS n ON n.question_id = e.family_id
LEFT JOIN renumbered AS r ON r.earlier_id = e.level_id
WHERE e.family_id NOT IN (SELECT family_id FROM moved);

DROP TABLE replies;

ALTER TABLE written_here RENAME TO replies;

-- How many hulls of the plant are asked each of the given questions, how many answer it in
-- full, and how many carry each of the given levels.
WITH asked AS (
    SELECT
        family_id,
        count(*) FILTER (WHERE first_row) AS applies,
        count(*) FILTER (WHERE first_row AND complete) AS known
    FROM exposure
    WHERE family_id IN (SELECT unnest(CAST($family_ids AS INTEGER[])))
    GROUP BY family_id
),
carried AS (
    SELECT family_id, level_id, count(*) AS carry
    FROM exposure
    WHERE level_id IN (SELECT unnest(CAST($level_ids AS INTEGER[])))
    GROUP BY family_id, level_id
)
SELECT c.family_id, c.level_id, c.carry, a.applies, a.known
FROM carried AS c
JOIN asked AS a USING (family_id)
ORDER BY c.family_id, c.level_id;

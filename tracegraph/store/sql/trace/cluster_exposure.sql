-- Which of the given hulls carry which of the given levels (recorded), and for which of
-- them a record of the family is missing (not known).
WITH asked AS (
    SELECT level_id, family_id FROM levels WHERE level_id IN (SELECT unnest(CAST($level_ids AS INTEGER[])))
)
SELECT e.hull_id, a.level_id, bool_or(coalesce(e.level_id = a.level_id, false)) AS recorded
FROM exposure AS e
JOIN asked AS a ON a.family_id = e.family_id
WHERE e.hull_id IN (SELECT unnest(CAST($hull_ids AS INTEGER[])))
    AND (e.level_id = a.level_id OR NOT e.complete)
GROUP BY e.hull_id, a.level_id
ORDER BY e.hull_id, a.level_id;

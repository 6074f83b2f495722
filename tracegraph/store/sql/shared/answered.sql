-- How each hull answers some questions about one level: carries it, has a complete record,
-- and what of it is there.
SELECT
    e.family_id AS family_id,
    e.hull_id AS hull_id,
    MAX(CASE WHEN e.level_id = $level_id THEN 1 ELSE 0 END) = 1 AS carries,
    MIN(CASE WHEN e.complete THEN 1 ELSE 0 END) = 1 AS complete,
    COUNT(e.level_id) AS written_down
FROM exposure AS e
WHERE array_contains($family_ids, e.family_id)
GROUP BY e.family_id, e.hull_id
ORDER BY e.family_id, e.hull_id;

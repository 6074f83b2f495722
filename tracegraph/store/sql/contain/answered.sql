-- How each hull answers some questions about one level: carries it, has a complete record,
-- and what of it is there.
SELECT
    family_id, hull_id,
    bool_or(level_id = $level_id) AS carries,
    bool_and(complete) AS complete,
    count(level_id) AS written_down
FROM exposure
WHERE list_contains($family_ids, family_id)
GROUP BY family_id, hull_id
ORDER BY family_id, hull_id;

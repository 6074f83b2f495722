-- Hulls of the cohort whose record of one family is complete, with the levels they carry.
SELECT e.hull_id AS hull_id, e.level_id AS level_id, c.affected AS affected
FROM exposure AS e
JOIN cohort AS c ON c.hull_id = e.hull_id
WHERE e.family_id = $family_id AND e.complete
ORDER BY e.hull_id, e.level_id;

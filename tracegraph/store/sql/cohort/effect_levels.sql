-- How many levels hulls carry of a suspect's family.
SELECT count(DISTINCT e.level_id)
FROM exposure AS e
WHERE e.family_id = $family_id AND e.level_id > 0;

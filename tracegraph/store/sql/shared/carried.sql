-- Which hulls carry which levels of one question.
SELECT e.hull_id AS hull_id, e.level_id AS level_id, l.level AS level
FROM exposure AS e
JOIN levels AS l ON l.level_id = e.level_id
WHERE e.family_id = $family_id
ORDER BY e.level_id, e.hull_id;

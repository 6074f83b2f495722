-- Which hulls carry which levels of one question.
SELECT e.hull_id, e.level_id, l.level
FROM exposure AS e
JOIN levels AS l USING (level_id)
WHERE e.family_id = $family_id
ORDER BY e.level_id, e.hull_id;

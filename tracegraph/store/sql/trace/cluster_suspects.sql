-- The given levels with their families.
SELECT l.level_id, l.level, f.family, f.part, f.step
FROM levels AS l
JOIN families AS f USING (family_id)
WHERE l.level_id IN (SELECT unnest(CAST($level_ids AS INTEGER[])))
ORDER BY l.level_id;

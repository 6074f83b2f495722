-- Names of all levels with their families.
SELECT l.level_id, l.level, f.family_id, f.family, f.kind, f.part, f.step, f.stage
FROM levels AS l
JOIN families AS f USING (family_id)
ORDER BY l.level_id;

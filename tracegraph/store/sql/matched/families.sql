-- Families and levels as they are numbered.
SELECT l.level_id, l.family_id FROM levels AS l ORDER BY l.family_id, l.level_id;

-- Families and levels as they are numbered, and whether they name people.
SELECT l.level_id, l.family_id, f.kind = $people_kind AS of_people
FROM levels AS l
JOIN families AS f USING (family_id)
ORDER BY l.family_id, l.level_id;

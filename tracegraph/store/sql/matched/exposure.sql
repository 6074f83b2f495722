-- All rows of exposure; a missing answer comes as level -1.
SELECT family_id, coalesce(level_id, -1) AS level_id, hull_id, complete FROM exposure;

-- Names of all levels, and the number of the family of each.
SELECT level_id, level, family_id FROM levels ORDER BY level_id;

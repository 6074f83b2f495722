-- All rows of exposure; a missing answer comes as level -1.
SELECT
    e.family_id AS family_id,
    COALESCE(e.level_id, -1) AS level_id,
    e.hull_id AS hull_id,
    e.complete AS complete
FROM exposure AS e;

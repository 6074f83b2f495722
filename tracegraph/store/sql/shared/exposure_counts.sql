-- One row per family and level: hulls of the cohort that carry it, and of those the
-- affected, the ones whose record is otherwise incomplete, and the hulls counted once.
SELECT
    e.family_id AS family_id,
    e.level_id AS level_id,
    CAST(COUNT(*) AS BIGINT) AS hulls,
    CAST(SUM(c.affected) AS BIGINT) AS affected,
    CAST(SUM(CASE WHEN e.complete THEN 0 ELSE 1 END) AS BIGINT) AS part_hulls,
    CAST(SUM(CASE WHEN e.complete THEN 0 ELSE c.affected END) AS BIGINT) AS part_affected,
    CAST(SUM(CASE WHEN e.first_row THEN 1 ELSE 0 END) AS BIGINT) AS first_hulls,
    CAST(SUM(CASE WHEN e.first_row THEN c.affected ELSE 0 END) AS BIGINT) AS first_affected,
    CAST(SUM(CASE WHEN e.first_row AND e.complete THEN 1 ELSE 0 END) AS BIGINT) AS known_hulls,
    CAST(SUM(CASE WHEN e.first_row AND e.complete THEN c.affected ELSE 0 END) AS BIGINT) AS known_affected
FROM exposure AS e
JOIN cohort AS c ON c.hull_id = e.hull_id
JOIN families AS f ON f.family_id = e.family_id
WHERE $people OR f.kind <> $people_kind
GROUP BY e.family_id, e.level_id
ORDER BY e.family_id, e.level_id NULLS LAST;

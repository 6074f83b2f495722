-- One row per hull asked about and suspect: whether the hull carries it; missing when that is
-- not recorded, no row where the question does not apply to the hull.
WITH suspects AS (
    SELECT unnest($family_ids) AS family_id, unnest($level_ids) AS level_id
)
SELECT
    h.hull_serial, s.family_id, s.level_id,
    CASE
        WHEN bool_or(coalesce(e.level_id = s.level_id, false)) THEN true
        WHEN bool_and(e.complete) THEN false
    END AS carries
FROM exposure AS e
JOIN suspects AS s USING (family_id)
JOIN hull_index AS h ON h.hull_id = e.hull_id
WHERE list_contains($hulls, h.hull_serial)
GROUP BY h.hull_serial, s.family_id, s.level_id
ORDER BY h.hull_serial, s.family_id, s.level_id;

-- Hulls of a definition to which a suspect's family applies: followed for how long, the month
-- of the case if any, and whether they carry the suspect (missing when not recorded).
WITH answers AS (
    SELECT
        e.hull_id,
        bool_or(coalesce(e.level_id = $level_id, false)) AS carries,
        bool_and(e.complete) AS complete
    FROM exposure AS e
    WHERE e.family_id = $family_id
    GROUP BY e.hull_id
)
SELECT
    r.hull_id, h.model, r.built_on, r.delivered_on, r.case_month,
    greatest(r.follow_months, 0) AS follow_months,
    CASE WHEN a.carries THEN true WHEN a.complete THEN false END AS carries
FROM at_risk AS r
JOIN hull_index AS h USING (hull_id)
JOIN answers AS a USING (hull_id)
WHERE r.built_on IS NOT NULL
ORDER BY r.built_on, r.hull_id;

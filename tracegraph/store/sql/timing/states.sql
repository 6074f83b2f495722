-- Hulls at risk with their follow-up, month of the first claim that counts, and whether they
-- carry the level; state is null where the family does not apply.
WITH answers AS (
    SELECT
        hull_id,
        bool_or(coalesce(level_id = $level_id, false)) AS carries,
        bool_and(complete) AS complete
    FROM exposure
    WHERE family_id = $family_id
    GROUP BY hull_id
)
SELECT
    r.hull_id,
    h.model,
    r.follow_months,
    CASE WHEN r.case_month <= r.follow_months THEN r.case_month END AS case_month,
    CASE WHEN a.carries THEN 'exposed' WHEN a.complete THEN 'not exposed'
        WHEN a.hull_id IS NOT NULL THEN 'not recorded' END AS state
FROM at_risk AS r
JOIN hull_index AS h USING (hull_id)
LEFT JOIN answers AS a USING (hull_id)
WHERE r.follow_months >= 0
ORDER BY r.hull_id;

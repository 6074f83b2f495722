-- One row per symptom: hulls with it, claim lines, and what they cost where that is known.
SELECT
    c.symptom,
    count(DISTINCT c.hull_id) AS hulls,
    count(*) AS claims,
    count(*) FILTER (WHERE c.hull_id IS NULL) AS claims_without_hull,
    sum(c.cost) AS cost,
    count(c.cost) AS claims_with_cost,
    min(c.safety_class) AS safety_class,
    min(c.failed_on) AS first_failed_on,
    max(c.opened_on) AS last_opened_on
FROM claim_index AS c
GROUP BY c.symptom
ORDER BY hulls DESC, claims DESC, c.symptom;

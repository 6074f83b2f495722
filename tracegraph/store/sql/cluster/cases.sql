-- One row per hull with a case under the definition, also those that the landmark leaves
-- out, with the first claim line that counts and what all that count have cost.
WITH matching AS (
    SELECT
        c.*,
        row_number() OVER (PARTITION BY c.hull_id ORDER BY c.failed_on, c.claim_id) AS place
    FROM claim_index AS c
    JOIN at_risk AS a ON a.hull_id = c.hull_id
    WHERE NOT c.solicited AND c.opened_on <= CAST($cut_off AS DATE)
        AND list_contains($certainty, c.certainty)
        AND (len($symptoms) = 0 OR list_contains($symptoms, lower(c.symptom)))
        AND (len($zones) = 0 OR list_contains($zones, lower(c.zone)))
        AND (len($components) = 0 OR list_contains($components, lower(c.component)))
        AND CASE WHEN c.failed_on < a.delivered_on THEN $before_delivery ELSE $in_service END
),
summed AS (
    SELECT
        hull_id, count(*) AS claims, min(safety_class) AS safety_class, sum(cost) AS cost,
        count(cost) AS claims_with_cost,
        list(DISTINCT claim_no ORDER BY claim_no) AS claim_numbers
    FROM matching GROUP BY hull_id
)
SELECT
    h.hull_id, h.hull_serial, h.model, h.place, h.built_on, h.delivered_on,
    a.case_month, a.follow_months,
    m.claim_no AS first_claim, m.symptom, m.zone, m.certainty, m.failed_on,
    s.claims, s.safety_class, s.cost, s.claims_with_cost, s.claim_numbers,
    coalesce(c.affected, 0) = 1 AS counted
FROM at_risk AS a
JOIN hull_index AS h ON h.hull_id = a.hull_id
JOIN summed AS s ON s.hull_id = a.hull_id
JOIN matching AS m ON m.hull_id = a.hull_id AND m.place = 1
LEFT JOIN cohort AS c ON c.hull_id = a.hull_id
WHERE a.case_month IS NOT NULL
ORDER BY h.built_on NULLS LAST, h.hull_serial;

-- Claim lines of the symptom asked for that do not make a case, by reason; and the gravest
-- safety class among all of them.
SELECT
    count(*) FILTER (WHERE c.hull_id IS NULL) AS no_hull,
    count(*) FILTER (WHERE c.hull_id IS NOT NULL AND c.solicited) AS solicited,
    count(*) FILTER (WHERE NOT $before_delivery AND c.failed_on < h.delivered_on) AS before_delivery,
    count(*) FILTER (WHERE c.hull_id IS NOT NULL AND NOT list_contains($certainty, c.certainty)) AS less_certain,
    min(c.safety_class) AS safety_class
FROM claim_index AS c
LEFT JOIN hull_index AS h USING (hull_id)
WHERE (len($symptoms) = 0 OR list_contains($symptoms, lower(c.symptom)))
    AND (len($zones) = 0 OR list_contains($zones, lower(c.zone)))
    AND (len($components) = 0 OR list_contains($components, lower(c.component)));

-- Claim lines of the definition's words with a safety class, and how many may hurt someone.
SELECT count(*) AS classed, count(*) FILTER (WHERE safety_class = 1) AS severe
FROM claim_index
WHERE safety_class IS NOT NULL
    AND (len($symptoms) = 0 OR list_contains($symptoms, lower(symptom)))
    AND (len($zones) = 0 OR list_contains($zones, lower(zone)))
    AND (len($components) = 0 OR list_contains($components, lower(component)));

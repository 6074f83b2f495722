-- Words that a definition can be made of, each with how many hulls or claim lines have it.
SELECT 'symptom' AS what, symptom AS word, count(DISTINCT hull_id) AS hulls FROM claim_index GROUP BY symptom
UNION ALL
SELECT 'zone', zone, count(DISTINCT hull_id) FROM claim_index WHERE zone IS NOT NULL GROUP BY zone
UNION ALL
SELECT 'component', component, count(DISTINCT hull_id) FROM claim_index WHERE component IS NOT NULL GROUP BY component
UNION ALL
SELECT 'model', model, count(*) FROM hull_index GROUP BY model
UNION ALL
SELECT 'plant', plant, count(*) FROM hull_index WHERE plant IS NOT NULL GROUP BY plant
ORDER BY what, hulls DESC, word;

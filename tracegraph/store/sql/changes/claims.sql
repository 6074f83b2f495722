-- One row per claim line, by its own numbers, with its symptom.
SELECT claim_no, coalesce(line_no, '') AS line_no, symptom, cost
FROM claim_index;

-- Claim lines of the given hulls; of some symptoms only when any are given.
SELECT claim_id, concat_ws('/', claim_no, line_no) AS key, symptom, hull_id
FROM claim_index
WHERE hull_id IN (SELECT unnest(CAST($hull_ids AS INTEGER[])))
    AND (len($symptoms) = 0 OR list_contains($symptoms, lower(symptom)))
ORDER BY claim_id;

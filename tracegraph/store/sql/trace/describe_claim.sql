SELECT
    concat_ws('/', claim_no, line_no) AS key, symptom, component, zone, opened_on, failed_on,
    certainty, safety_class, solicited
FROM claim_index
WHERE concat_ws('/', claim_no, line_no) IN (SELECT unnest(CAST($keys AS VARCHAR[])))
ORDER BY claim_id;

-- Claim lines of the hull.
SELECT
    concat_ws('/', c.claim_no, c.line_no) AS claim, c.symptom, c.zone, c.component, c.failed_on, c.failed_known,
    c.opened_on, c.safety_class, c.certainty, c.solicited, c.cost, c.repeat_of, c.note,
    CASE WHEN c.failed_on >= h.delivered_on THEN date_sub('month', h.delivered_on, c.failed_on) END AS months_in_service
FROM claim_index AS c
JOIN hull_index AS h USING (hull_id)
WHERE c.hull_id = $hull_id
ORDER BY c.failed_on, c.claim_id;

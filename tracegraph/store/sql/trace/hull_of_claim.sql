-- Serial of the hull that a claim line reached.
SELECT h.hull_serial
FROM claim_index AS c
JOIN hull_index AS h USING (hull_id)
WHERE concat_ws('/', c.claim_no, c.line_no) = $claim
ORDER BY c.claim_id;

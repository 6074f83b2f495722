-- The hull itself, and how many claim lines reached it.
SELECT
    h.hull_id, h.hull_serial, h.job_no, h.hin, h.model, h.dealer, h.place, h.built_on, h.shipped_on,
    h.delivered_on, h.delivered_imputed, h.exit_on,
    (SELECT count(*) FROM claim_index AS c WHERE c.hull_id = h.hull_id) AS claims
FROM hull_index AS h
WHERE h.hull_id = $hull_id;

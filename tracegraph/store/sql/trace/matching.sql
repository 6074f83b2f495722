-- Hulls at risk of the cohort drawn in this session, with what matching needs.
SELECT r.hull_id, h.hull_serial, h.model, r.built_on, r.case_month, r.follow_months
FROM at_risk AS r
JOIN hull_index AS h USING (hull_id)
WHERE r.follow_months >= 0 AND r.built_on IS NOT NULL
ORDER BY r.built_on, r.hull_id;

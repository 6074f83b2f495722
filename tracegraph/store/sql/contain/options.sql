-- Options of each hull as written.
SELECT h.hull_id, any_value(r.options) AS options
FROM hull_index AS h
JOIN hulls AS r ON r.hull_serial = h.hull_serial AND r.job_no IS NOT DISTINCT FROM h.job_no
WHERE r.options IS NOT NULL
GROUP BY h.hull_id;

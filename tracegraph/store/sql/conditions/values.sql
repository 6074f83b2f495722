-- Every hull of the build with its measured value in one family; null where nothing was
-- measured.
SELECT h.hull_id, v.value, v.low, v.high
FROM hull_index AS h
LEFT JOIN measured_values AS v ON v.hull_id = h.hull_id AND v.family_id = $family_id
ORDER BY h.hull_id;

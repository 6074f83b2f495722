-- Molded parts of the hull.
SELECT part_serial, part, mold_no, pull_no, timezone($time_zone, timezone('UTC', pulled_at)) AS pulled_at
FROM part_index
WHERE hull_id = $hull_id
ORDER BY pulled_at NULLS LAST, part_serial;

-- The given hulls.
SELECT hull_id, hull_serial
FROM hull_index
WHERE hull_id IN (SELECT unnest(CAST($hull_ids AS INTEGER[])))
ORDER BY hull_id;

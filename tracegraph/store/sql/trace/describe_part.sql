SELECT part_serial AS key, part, pull_no, pulled_at
FROM part_index
WHERE part_serial IN (SELECT unnest(CAST($keys AS VARCHAR[])))
ORDER BY part_id;

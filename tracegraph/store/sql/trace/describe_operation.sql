SELECT operation_id AS key, step, part, shift, started_at, finished_at, attempt
FROM operation_index
WHERE operation_id IN (SELECT unnest(CAST($keys AS VARCHAR[])))
ORDER BY operation_no;

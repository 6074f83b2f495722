SELECT coalesce(serial_no, concat('no serial, ', component_id)) AS key, component, fitted_at
FROM component_index
WHERE coalesce(serial_no, concat('no serial, ', component_id)) IN (SELECT unnest(CAST($keys AS VARCHAR[])))
ORDER BY component_id;

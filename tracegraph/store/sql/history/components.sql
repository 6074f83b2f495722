-- Bought items fitted to the hull.
SELECT component, serial_no, supplier, lot_no, timezone($time_zone, timezone('UTC', fitted_at)) AS fitted_at, fitted_by
FROM component_index
WHERE hull_id = $hull_id
ORDER BY component, fitted_at, component_id;

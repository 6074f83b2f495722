-- Air temperature, humidity and surface temperature of each operation that has all three
-- (the surface's own reading, else the air's).
CREATE OR REPLACE TEMP TABLE air_and_surface AS
SELECT
    t.operation_no,
    t.mean AS air_c,
    r.mean AS humidity_pct,
    coalesce(m.mean, t.mean) AS surface_c
FROM conditions AS t
JOIN conditions AS r ON r.operation_no = t.operation_no AND r.quantity = 'relative_humidity'
LEFT JOIN conditions AS m ON m.operation_no = t.operation_no AND m.quantity = 'mold_temp'
WHERE t.quantity = 'ambient_temp' AND t.mean IS NOT NULL AND r.mean IS NOT NULL;

SELECT * FROM air_and_surface ORDER BY operation_no;

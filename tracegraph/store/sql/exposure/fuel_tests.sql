-- Each try at the pressure test of a fuel system: the work with its readings, joined by hull
-- and attempt to the check of the same name and to the check of the fittings. One hull, or all
-- when none is named.
WITH worked AS (
    SELECT
        o.hull_id, o.operation_id, o.started_at,
        coalesce(o.attempt, row_number() OVER (PARTITION BY o.hull_id ORDER BY o.started_at, o.operation_no)) AS attempt
    FROM operation_index AS o
    WHERE o.step = $test AND o.hull_id IS NOT NULL AND o.part_id IS NULL
        AND ($hull_id IS NULL OR o.hull_id = $hull_id)
),
numbers AS (
    SELECT
        w.hull_id, w.attempt, max(w.started_at) AS "at",
        arg_max({value: r.value, unit: r.unit}, w.started_at) FILTER (WHERE r.quantity = 'start_pressure') AS start_pressure,
        arg_max({value: r.value, unit: r.unit}, w.started_at) FILTER (WHERE r.quantity = 'end_pressure') AS end_pressure,
        arg_max({value: r.value, unit: r.unit}, w.started_at) FILTER (WHERE r.quantity = 'hold_time') AS hold_time,
        arg_max({value: r.value, unit: r.unit}, w.started_at) FILTER (WHERE r.quantity = 'tank_capacity') AS tank_capacity,
        arg_max({value: r.value, unit: r.unit}, w.started_at) FILTER (WHERE r.quantity = 'overflow_height') AS overflow_height
    FROM worked AS w
    LEFT JOIN readings AS r USING (operation_id)
    GROUP BY w.hull_id, w.attempt
),
checked AS (
    SELECT
        x.hull_id, i.checkpoint, i."at", i.result, i.value, i.unit,
        coalesce(i.attempt, row_number() OVER (PARTITION BY x.hull_id, i.checkpoint ORDER BY i."at", i.inspection_id)) AS attempt
    FROM inspections AS i
    JOIN inspection_index AS x USING (inspection_id)
    WHERE i.checkpoint IN ($test, $fittings) AND i.part_serial IS NULL
        AND x.hull_id IS NOT NULL AND ($hull_id IS NULL OR x.hull_id = $hull_id)
),
results AS (
    SELECT
        hull_id, attempt, max("at") AS "at", arg_max(result, "at") AS result,
        arg_max({value: value, unit: unit}, "at") FILTER (WHERE value IS NOT NULL) AS written
    FROM checked WHERE checkpoint = $test GROUP BY hull_id, attempt
),
fittings AS (
    SELECT hull_id, attempt, arg_max(result, "at") AS result
    FROM checked WHERE checkpoint = $fittings GROUP BY hull_id, attempt
)
SELECT
    coalesce(n.hull_id, r.hull_id) AS hull_id,
    coalesce(n.attempt, r.attempt) AS attempt,
    coalesce(n."at", r."at") AS "at",
    n.hull_id IS NOT NULL AS has_work,
    r.result, f.result AS fittings,
    n.start_pressure.value AS start_pressure, n.start_pressure.unit AS start_pressure_unit,
    coalesce(n.end_pressure.value, r.written.value) AS end_pressure,
    CASE WHEN n.end_pressure.value IS NULL THEN r.written.unit ELSE n.end_pressure.unit END AS end_pressure_unit,
    n.hold_time.value AS hold_time, n.hold_time.unit AS hold_time_unit,
    n.tank_capacity.value AS tank_capacity, n.tank_capacity.unit AS tank_capacity_unit,
    n.overflow_height.value AS overflow_height, n.overflow_height.unit AS overflow_height_unit
FROM numbers AS n
FULL JOIN results AS r ON r.hull_id = n.hull_id AND r.attempt = n.attempt
LEFT JOIN fittings AS f ON f.hull_id = coalesce(n.hull_id, r.hull_id) AND f.attempt = coalesce(n.attempt, r.attempt)
ORDER BY hull_id, attempt;

-- What hulls of this model and plant normally have in their records and this one has not: at
-- least half of them have it. The time is where it should stand, by the median
-- distance from completion.
WITH model_hulls AS (
    SELECT h.hull_id, h.built_on
    FROM hull_index AS h
    JOIN hull_index AS own
        ON own.hull_id = $hull_id AND own.model = h.model AND own.plant IS NOT DISTINCT FROM h.plant
),
size AS (
    SELECT count(*) AS hulls FROM model_hulls
),
steps AS (
    SELECT
        coalesce(p.part, 'assembly') AS lane, o.step, o.hull_id,
        min(date_diff('minute', CAST(h.built_on AS TIMESTAMP), o.started_at)) AS minutes
    FROM operation_index AS o
    JOIN model_hulls AS h USING (hull_id)
    LEFT JOIN part_index AS p USING (part_id)
    GROUP BY ALL
),
usual_steps AS (
    SELECT lane, step, median(minutes) AS minutes, bool_or(hull_id = $hull_id) AS here
    FROM steps
    GROUP BY lane, step
    HAVING count(*) * 2 >= (SELECT hulls FROM size)
),
usual_parts AS (
    SELECT p.part, bool_or(p.hull_id = $hull_id) AS here
    FROM (SELECT DISTINCT hull_id, part FROM part_index) AS p
    JOIN model_hulls AS h USING (hull_id)
    GROUP BY p.part
    HAVING count(*) * 2 >= (SELECT hulls FROM size)
),
usual_components AS (
    SELECT c.component, bool_or(c.hull_id = $hull_id) AS here
    FROM (SELECT DISTINCT hull_id, component FROM component_index) AS c
    JOIN model_hulls AS h USING (hull_id)
    GROUP BY c.component
    HAVING count(*) * 2 >= (SELECT hulls FROM size)
),
usual_readings AS (
    SELECT r.part, r.step, r.quantity, bool_or(r.hull_id = $hull_id) AS here
    FROM (
        SELECT DISTINCT o.hull_id, o.part, o.step, d.quantity
        FROM readings AS d
        JOIN operation_index AS o USING (operation_id)
        JOIN model_hulls AS h ON h.hull_id = o.hull_id
        WHERE o.part IS NOT NULL
    ) AS r
    GROUP BY r.part, r.step, r.quantity
    HAVING count(*) * 2 >= (SELECT hulls FROM size)
),
-- A check left out with a line that says so is on record.
checks AS (
    SELECT DISTINCT CASE WHEN i.part_serial IS NULL THEN 'assembly' ELSE x.part END AS lane, i.checkpoint, x.hull_id
    FROM inspections AS i JOIN inspection_index AS x USING (inspection_id)
    WHERE x.hull_id IN (SELECT hull_id FROM model_hulls)
),
usual_checks AS (
    SELECT lane, checkpoint, bool_or(hull_id = $hull_id) AS here
    FROM checks
    GROUP BY lane, checkpoint
    HAVING count(*) * 2 >= (SELECT hulls FROM size)
),
unwritten AS (
    SELECT DISTINCT coalesce(p.part, 'assembly') AS lane, o.step, u.material, o.started_at
    FROM operation_index AS o
    JOIN usages AS u USING (operation_id)
    LEFT JOIN part_index AS p USING (part_id)
    WHERE o.hull_id = $hull_id AND u.lot_no IS NULL
)
SELECT 'part' AS record, part AS lane, NULL AS step, part AS thing, NULL AS at_minutes, CAST(NULL AS TIMESTAMP) AS "at"
FROM usual_parts WHERE NOT here
UNION ALL
SELECT 'operation', lane, step, step, minutes, NULL FROM usual_steps WHERE NOT here
UNION ALL
SELECT 'lot', lane, step, material || ' lot', NULL, timezone($time_zone, timezone('UTC', started_at)) FROM unwritten
UNION ALL
SELECT 'reading', coalesce(p.part, 'assembly'), r.step, r.quantity, NULL, timezone($time_zone, timezone('UTC', min(o.started_at)))
FROM usual_readings AS r
JOIN operation_index AS o ON o.hull_id = $hull_id AND o.part = r.part AND o.step = r.step
LEFT JOIN part_index AS p USING (part_id)
WHERE NOT r.here
GROUP BY ALL
UNION ALL
SELECT 'mold', part, NULL, 'mold of the ' || part, NULL, timezone($time_zone, timezone('UTC', pulled_at))
FROM part_index WHERE hull_id = $hull_id AND mold_no IS NULL
UNION ALL
SELECT 'check', lane, NULL, checkpoint, NULL, NULL FROM usual_checks WHERE NOT here
UNION ALL
SELECT 'component', 'assembly', NULL, component, NULL, NULL FROM usual_components WHERE NOT here
UNION ALL
SELECT 'component lot', 'assembly', NULL, component || ' lot', NULL, timezone($time_zone, timezone('UTC', fitted_at))
FROM component_index WHERE hull_id = $hull_id AND lot_no IS NULL
ORDER BY record, lane, step, thing;

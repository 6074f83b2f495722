-- Answers to one question in the order in which the work was done: one row per hull and
-- answer, with the time of the work (of the step, the fitting, the pulling), else the day on
-- which the hull was built.
WITH work AS (
    SELECT hull_id, min(started_at) AS "at", arg_min(station, started_at) AS station, arg_min(equipment, started_at) AS equipment
    FROM operation_index
    WHERE part = $part AND step = $step AND hull_id IS NOT NULL
    GROUP BY hull_id
),
fitted AS (
    SELECT hull_id, min(fitted_at) AS "at"
    FROM component_index
    WHERE $part = 'hull' AND component = $step AND hull_id IS NOT NULL AND fitted_at IS NOT NULL
    GROUP BY hull_id
),
pulled AS (
    SELECT hull_id, min(pulled_at) AS "at"
    FROM part_index
    WHERE $step = '' AND part = $part AND hull_id IS NOT NULL AND pulled_at IS NOT NULL
    GROUP BY hull_id
)
SELECT
    e.hull_id, e.level_id, e.complete, h.model, h.plant, w.station, w.equipment,
    coalesce(w."at", f."at", p."at") AS worked_at,
    CAST(h.built_on AS TIMESTAMP) AS built_at
FROM exposure AS e
JOIN hull_index AS h USING (hull_id)
LEFT JOIN work AS w USING (hull_id)
LEFT JOIN fitted AS f USING (hull_id)
LEFT JOIN pulled AS p USING (hull_id)
WHERE e.family_id = $family_id
ORDER BY e.hull_id, e.level_id;

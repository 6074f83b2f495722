-- Every hull of the build with the times by which it may stand in a row: the operation at
-- the family's own part and step, fitting, pulling of the part, building; and whether it
-- carries the level. Without a family ($family_id is null) only building is given.
WITH family AS (
    SELECT family_id, part, step FROM families WHERE family_id = $family_id
),
answers AS (
    SELECT
        hull_id,
        bool_or(coalesce(level_id = $level_id, false)) AS carries,
        bool_and(complete) AS complete
    FROM exposure
    WHERE family_id = $family_id
    GROUP BY hull_id
),
worked AS (
    SELECT o.hull_id, min(o.started_at) AS "at"
    FROM operation_index AS o
    JOIN family AS f ON o.step = f.step AND (f.part = 'any part' OR o.part = f.part)
    GROUP BY o.hull_id
),
fitted AS (
    SELECT c.hull_id, min(c.fitted_at) AS "at"
    FROM component_index AS c
    JOIN family AS f ON c.component = f.step
    GROUP BY c.hull_id
),
pulled AS (
    SELECT p.hull_id, min(p.pulled_at) AS "at"
    FROM part_index AS p
    JOIN family AS f ON p.part = f.part AND f.step = ''
    GROUP BY p.hull_id
)
SELECT
    h.hull_id, h.hull_serial, h.model, h.place,
    w."at" AS worked_at, f."at" AS fitted_at, p."at" AS pulled_at,
    CAST(h.built_on AS TIMESTAMP) AS built_at,
    CASE
        WHEN $level_id IS NULL OR a.hull_id IS NULL THEN NULL
        WHEN a.carries THEN 'exposed'
        WHEN a.complete THEN 'not exposed'
        ELSE 'not recorded'
    END AS state
FROM hull_index AS h
LEFT JOIN answers AS a USING (hull_id)
LEFT JOIN worked AS w USING (hull_id)
LEFT JOIN fitted AS f USING (hull_id)
LEFT JOIN pulled AS p USING (hull_id)
ORDER BY h.hull_id;

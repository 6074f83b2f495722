-- Hulls of the comparison to which a family applies, in the order in which its step was
-- done on them (else fitted, pulled or completed): affected or not, and whether they carry
-- the level.
WITH family AS (
    SELECT family_id, part, step FROM families WHERE family_id = $family_id
),
answers AS (
    SELECT
        e.hull_id,
        bool_or(coalesce(e.level_id = $level_id, false)) AS carries,
        bool_and(e.complete) AS complete,
        string_agg(l.level, ', ' ORDER BY l.level) AS levels
    FROM exposure AS e
    LEFT JOIN levels AS l ON l.level_id = e.level_id
    WHERE e.family_id = $family_id
    GROUP BY e.hull_id
),
times AS (
    SELECT o.hull_id, min(o.started_at) AS "at"
    FROM operation_index AS o
    JOIN family AS f ON (f.part = 'any part' OR o.part = f.part) AND (f.step = '' OR o.step = f.step)
    GROUP BY o.hull_id
),
fitted AS (
    SELECT c.hull_id, min(c.fitted_at) AS "at"
    FROM component_index AS c
    JOIN family AS f ON c.component = f.step
    GROUP BY c.hull_id
)
SELECT
    h.hull_id, h.hull_serial, h.model, h.place,
    coalesce(t."at", f."at", CAST(h.built_on AS TIMESTAMP)) AS "at",
    c.affected = 1 AS affected,
    CASE WHEN a.carries THEN 'exposed' WHEN a.complete THEN 'not exposed' ELSE 'not recorded' END AS state,
    a.levels
FROM cohort AS c
JOIN hull_index AS h ON h.hull_id = c.hull_id
JOIN answers AS a ON a.hull_id = c.hull_id
LEFT JOIN times AS t ON t.hull_id = c.hull_id
LEFT JOIN fitted AS f ON f.hull_id = c.hull_id
ORDER BY "at" NULLS LAST, h.hull_serial;

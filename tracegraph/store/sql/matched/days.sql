-- Day of the work of one family on each hull: of its step, of fitting a component, or of
-- pulling the part; null where it was not written down.
WITH worked AS (
    SELECT hull_id, min(started_at) AS "at"
    FROM operation_index
    WHERE part = $part AND step = $step AND $step <> ''
    GROUP BY hull_id
),
fitted AS (
    SELECT hull_id, min(fitted_at) AS "at" FROM component_index WHERE component = $step GROUP BY hull_id
),
pulled AS (
    SELECT hull_id, min(pulled_at) AS "at" FROM part_index WHERE part = $part AND $step = '' GROUP BY hull_id
)
SELECT
    h.hull_id,
    CAST(coalesce(w."at", f."at", p."at") AS DATE) - DATE '2000-01-01' AS day
FROM hull_index AS h
LEFT JOIN worked AS w USING (hull_id)
LEFT JOIN fitted AS f USING (hull_id)
LEFT JOIN pulled AS p USING (hull_id)
ORDER BY h.hull_id;

-- Every hull against a window of days on the site's own calendar: by one step of one part,
-- else by the day it was built. A step applies to a model when at least half of its hulls
-- have it.
WITH work AS (
    SELECT
        hull_id, part, step,
        bool_or(CAST(timezone($time_zone, timezone('UTC', started_at)) AS DATE) BETWEEN $first AND $last) AS inside,
        min(started_at) AS "at"
    FROM operation_index
    WHERE part = $part AND step = $step AND hull_id IS NOT NULL
    GROUP BY hull_id, part, step
),
having_step AS (
    SELECT h.model, count(w.hull_id) * 2 >= count(*) AS applies
    FROM hull_index AS h LEFT JOIN work AS w USING (hull_id)
    GROUP BY h.model
)
SELECT
    h.hull_id,
    CASE WHEN $step IS NULL THEN h.built_on BETWEEN $first AND $last ELSE w.inside END AS inside,
    CASE WHEN $step IS NULL THEN h.built_on ELSE CAST(w."at" AS DATE) END AS day,
    $step IS NULL OR s.applies OR w.hull_id IS NOT NULL AS applies
FROM hull_index AS h
JOIN having_step AS s USING (model)
LEFT JOIN work AS w USING (hull_id)
ORDER BY h.hull_id;

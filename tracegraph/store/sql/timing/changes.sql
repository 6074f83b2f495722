-- Named answers that came in or went out within some days of a moment: their first (last)
-- use over the whole production, by the clock of their own step, of fitting or of pulling;
-- hulls without such a time are passed over. An answer in use from the family's first hull
-- (to its last) did not change. Left out is what changes all the time: drums, bands, the
-- calendar, outcomes of checks, and families with a new answer more often than once in so
-- many days.
WITH asked AS (
    SELECT family_id, family, kind, part, step
    FROM families
    WHERE kind NOT IN ('drum', 'timing', 'process reading') AND part <> 'any part'
        AND ($people OR kind <> $people_kind)
        AND family_id NOT IN (SELECT family_id FROM measured_values)
),
worked AS (
    SELECT hull_id, part, step, min(started_at) AS "at"
    FROM operation_index
    WHERE hull_id IS NOT NULL
    GROUP BY hull_id, part, step
),
fitted AS (
    SELECT hull_id, component, min(fitted_at) AS "at" FROM component_index GROUP BY hull_id, component
),
pulled AS (
    SELECT hull_id, part, min(pulled_at) AS "at" FROM part_index GROUP BY hull_id, part
),
used AS (
    SELECT
        a.family_id, e.level_id, e.hull_id,
        coalesce(w."at", f."at", p."at") AS "at"
    FROM exposure AS e
    JOIN asked AS a USING (family_id)
    LEFT JOIN worked AS w ON w.hull_id = e.hull_id AND w.part = a.part AND w.step = a.step
    LEFT JOIN fitted AS f ON f.hull_id = e.hull_id AND f.component = a.step
    LEFT JOIN pulled AS p ON p.hull_id = e.hull_id AND p.part = a.part AND a.step = ''
    WHERE e.level_id > 0
),
spans AS (
    SELECT family_id, level_id, min("at") AS first_at, max("at") AS last_at, count(*) AS hulls
    FROM used
    WHERE "at" IS NOT NULL
    GROUP BY family_id, level_id
),
placed AS (
    SELECT
        *,
        min(first_at) OVER each_family AS opened,
        max(last_at) OVER each_family AS closed,
        count(*) OVER each_family AS levels,
        date_diff('day', opened, closed) / levels AS usual_days
    FROM spans
    WINDOW each_family AS (PARTITION BY family_id)
),
moves AS (
    SELECT family_id, level_id, hulls, levels, usual_days, 'came in' AS change, first_at AS "at" FROM placed WHERE first_at > opened
    UNION ALL
    SELECT family_id, level_id, hulls, levels, usual_days, 'went out', last_at FROM placed WHERE last_at < closed
)
SELECT
    a.family, a.kind, l.level, m.change, m."at",
    date_diff('minute', CAST($moment AS TIMESTAMP), m."at") / 1440.0 AS days,
    m.hulls, m.levels, m.usual_days
FROM (SELECT * FROM moves WHERE usual_days >= $days) AS m
JOIN asked AS a USING (family_id)
JOIN levels AS l ON l.level_id = m.level_id
WHERE m."at" BETWEEN CAST($moment AS TIMESTAMP) - to_days(CAST($days AS INTEGER))
    AND CAST($moment AS TIMESTAMP) + to_days(CAST($days AS INTEGER))
ORDER BY m.levels, abs(days), a.family, l.level, m.change;

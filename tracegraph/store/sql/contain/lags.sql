-- Work of one step that was not written down, placed by other work on the same hull: the
-- step or day from which the missing one keeps the steadiest distance within the model.
-- The spread of that distance comes in fifths, one row each. Work that was written down
-- stands where it stood.
WITH asked AS (
    SELECT unnest(CAST($hull_ids AS INTEGER[])) AS hull_id
),
target AS (
    SELECT hull_id, min("at") AS "at"
    FROM (
        SELECT hull_id, started_at AS "at" FROM operation_index WHERE part = $part AND step = $step
        UNION ALL
        SELECT hull_id, fitted_at FROM component_index WHERE $part = 'hull' AND component = $step
        UNION ALL
        SELECT hull_id, pulled_at FROM part_index WHERE part = $part AND $step = ''
    )
    WHERE hull_id IS NOT NULL AND "at" IS NOT NULL
    GROUP BY hull_id
),
marks AS (
    SELECT hull_id, concat_ws(': ', part, step) AS mark, min(started_at) AS "at"
    FROM operation_index
    WHERE hull_id IS NOT NULL AND part IS NOT NULL AND NOT (part = $part AND step = $step)
    GROUP BY ALL
    UNION ALL
    SELECT hull_id, concat('pull: ', part), min(pulled_at)
    FROM part_index WHERE hull_id IS NOT NULL AND pulled_at IS NOT NULL GROUP BY ALL
    UNION ALL
    SELECT hull_id, 'built', CAST(built_on AS TIMESTAMP) FROM hull_index WHERE built_on IS NOT NULL
),
distances AS (
    SELECT h.model, m.mark, quantile_cont(epoch(t."at") - epoch(m."at"), [0.1, 0.3, 0.5, 0.7, 0.9]) AS seconds
    FROM target AS t
    JOIN marks AS m USING (hull_id)
    JOIN hull_index AS h USING (hull_id)
    WHERE h.model IN (SELECT model FROM hull_index JOIN asked USING (hull_id))
    GROUP BY h.model, m.mark
    HAVING count(*) >= 5
)
SELECT hull_id, "at" FROM asked JOIN target USING (hull_id)
UNION ALL
SELECT
    a.hull_id,
    unnest(arg_min(list_transform(d.seconds, lambda s: m."at" + to_seconds(s)), d.seconds[5] - d.seconds[1])) AS "at"
FROM asked AS a
ANTI JOIN target AS t USING (hull_id)
JOIN hull_index AS h USING (hull_id)
JOIN marks AS m USING (hull_id)
JOIN distances AS d ON d.model = h.model AND d.mark = m.mark
GROUP BY a.hull_id
ORDER BY hull_id, "at";

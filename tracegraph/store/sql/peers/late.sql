-- Records of this hull that came late: work dated after the hull was completed, checks dated
-- after it was shipped, and records whose own stamp lies days after the event.
WITH asked AS (
    SELECT * FROM hull_index WHERE hull_id = $hull_id
),
done AS (
    SELECT r.completed_on
    FROM asked AS h
    JOIN hulls AS r ON r.hull_serial = h.hull_serial AND r.job_no IS NOT DISTINCT FROM h.job_no
    WHERE r.completed_on IS NOT NULL
    LIMIT 1
),
work AS (
    SELECT
        'operation' AS record, coalesce(p.part, 'assembly') AS lane, o.step, o.operation_id AS thing,
        timezone($time_zone, timezone('UTC', o.started_at)) AS "at", r.source_id, r.source_row
    FROM operation_index AS o
    JOIN operations AS r USING (operation_id)
    LEFT JOIN part_index AS p USING (part_id)
    WHERE o.hull_id = $hull_id
),
checks AS (
    SELECT
        'inspection' AS record, CASE WHEN i.part_serial IS NULL THEN 'assembly' ELSE x.part END AS lane, i.checkpoint AS step,
        i.inspection_id AS thing, timezone($time_zone, timezone('UTC', i."at")) AS "at", i.source_id, i.source_row
    FROM inspections AS i
    JOIN inspection_index AS x USING (inspection_id)
    WHERE x.hull_id = $hull_id
),
found AS (
    SELECT w.record, w.lane, w.step, w.thing, w."at", 'after completion' AS why, date_diff('day', d.completed_on, CAST(w."at" AS DATE)) AS days
    FROM work AS w CROSS JOIN done AS d
    WHERE CAST(w."at" AS DATE) > d.completed_on
    UNION ALL
    SELECT c.record, c.lane, c.step, c.thing, c."at", 'after shipping', date_diff('day', a.shipped_on, CAST(c."at" AS DATE))
    FROM checks AS c CROSS JOIN asked AS a
    WHERE CAST(c."at" AS DATE) > a.shipped_on
    UNION ALL
    SELECT r.record, r.lane, r.step, r.thing, r."at", 'written down late',
        date_diff('day', CAST(r."at" AS DATE), CAST(timezone($time_zone, timezone('UTC', s.stamp)) AS DATE))
    FROM (SELECT *, 'operations' AS table_name FROM work UNION ALL SELECT *, 'inspections' FROM checks) AS r
    JOIN stamps AS s USING (table_name, source_id, source_row)
    WHERE date_diff('day', CAST(r."at" AS DATE), CAST(timezone($time_zone, timezone('UTC', s.stamp)) AS DATE)) > $late_days
)
SELECT record, lane, step, thing, "at", why, days FROM found ORDER BY "at", record, thing, why;

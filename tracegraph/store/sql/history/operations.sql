-- Operations of the hull in the order of time, with the lots they used. A use whose lot
-- was not written down is said so.
WITH used AS (
    SELECT
        o.operation_no,
        string_agg(
            u.material || ' ' || coalesce(u.lot_no || coalesce('/' || u.drum_no, ''), '(lot not written down)'),
            ', ' ORDER BY u.material, u.lot_no NULLS LAST, u.drum_no
        ) AS lots,
        string_agg(u.lot_no || coalesce('/' || u.drum_no, ''), ', ' ORDER BY u.material, u.lot_no, u.drum_no) AS lot_numbers,
        count(*) FILTER (WHERE u.lot_no IS NULL) AS lots_missing
    FROM operation_index AS o
    JOIN (SELECT DISTINCT operation_id, material, lot_no, drum_no FROM usages) AS u USING (operation_id)
    WHERE o.hull_id = $hull_id
    GROUP BY o.operation_no
)
SELECT
    o.operation_no, o.operation_id,
    coalesce(p.part, 'assembly') AS lane,
    o.part, p.part_serial, o.step, o.station, o.equipment, o.operator, o.crew, o.shift,
    timezone($time_zone, timezone('UTC', o.started_at)) AS started_at,
    timezone($time_zone, timezone('UTC', o.finished_at)) AS finished_at,
    o.attempt, used.lots, used.lot_numbers, coalesce(used.lots_missing, 0) AS lots_missing
FROM operation_index AS o
LEFT JOIN part_index AS p USING (part_id)
LEFT JOIN used ON used.operation_no = o.operation_no
WHERE o.hull_id = $hull_id
ORDER BY o.started_at, o.operation_no;

-- Uses of this hull of a lot after its last day, on the site's own calendar. A lot number
-- that two suppliers gave counts by the later of their days.
WITH used AS (
    SELECT DISTINCT
        coalesce(p.part, 'assembly') AS lane, o.step, o.operation_no, u.material,
        coalesce(split_part(m.meant, '|', 2), u.lot_no) AS lot_no,
        timezone($time_zone, timezone('UTC', o.started_at)) AS "at"
    FROM operation_index AS o
    JOIN usages AS u USING (operation_id)
    LEFT JOIN meanings AS m ON m.link = 'use to lot' AND m.written = concat(u.material, '|', u.lot_no)
    LEFT JOIN part_index AS p USING (part_id)
    WHERE o.hull_id = $hull_id AND u.lot_no IS NOT NULL
),
last_day AS (
    SELECT material, lot_no, max(expires_on) AS expires_on
    FROM lots WHERE expires_on IS NOT NULL GROUP BY material, lot_no
)
SELECT u.lane, u.step, u.material, u.lot_no, u."at", l.expires_on, date_diff('day', l.expires_on, CAST(u."at" AS DATE)) AS days
FROM used AS u
JOIN last_day AS l USING (material, lot_no)
WHERE CAST(u."at" AS DATE) > l.expires_on
ORDER BY u."at", u.operation_no, u.material, u.lot_no;

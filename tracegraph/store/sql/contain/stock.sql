-- When the given lots came and when they expire, and whether some of each is still on hand
-- or not accounted for: more than half of a usual use.
WITH asked AS (
    SELECT unnest(CAST($lots AS VARCHAR[])) AS name
),
delivered AS (
    SELECT
        concat_ws('|', material, lot_no) AS name,
        min(received_on) AS received_on, max(expires_on) AS expires_on,
        sum(received_qty) AS received, sum(on_hand_qty) AS on_hand, sum(scrapped_qty) AS scrapped
    FROM lots
    WHERE concat_ws('|', material, lot_no) IN (SELECT name FROM asked)
    GROUP BY ALL
),
used AS (
    SELECT concat(u.material, '|', coalesce(split_part(m.meant, '|', 2), u.lot_no)) AS name,
        sum(u.quantity) AS used, median(u.quantity) AS usual
    FROM usages AS u
    LEFT JOIN meanings AS m ON m.link = 'use to lot' AND m.written = concat(u.material, '|', u.lot_no)
    WHERE u.lot_no IS NOT NULL
        AND concat(u.material, '|', coalesce(split_part(m.meant, '|', 2), u.lot_no)) IN (SELECT name FROM asked)
    GROUP BY ALL
)
SELECT
    d.name, d.received_on, d.expires_on,
    coalesce(d.on_hand, 0) > 0
        OR d.received - coalesce(d.on_hand, 0) - coalesce(d.scrapped, 0) - coalesce(u.used, 0) > u.usual / 2 AS left
FROM delivered AS d
LEFT JOIN used AS u USING (name)
ORDER BY d.name;

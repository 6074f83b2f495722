-- How long the mold of each given part had run since it was last waxed, and repaired. Pulls
-- are counted by the written pull numbers, else by the parts in the order of pulling.
WITH asked AS (
    SELECT part_id, part_serial, mold_no, pulled_at, pull_no
    FROM part_index
    WHERE part_serial IN (SELECT unnest(CAST($parts AS VARCHAR[])))
        AND mold_no IS NOT NULL AND pulled_at IS NOT NULL
),
services AS (
    SELECT coalesce(n.present, e.mold_no) AS mold_no, e."at" AS served_at, e.pull_no, e.event
    FROM mold_events AS e
    LEFT JOIN mold_names AS n
        ON n.old = e.mold_no AND (n.given_again_at IS NULL OR e."at" < n.given_again_at)
    WHERE e.event IN ('waxed', 'repaired')
),
joined AS (
    SELECT a.*, s.event, s.served_at, s.pull_no AS served_at_pull
    FROM asked AS a
    JOIN services AS s ON s.mold_no = a.mold_no AND s.served_at <= a.pulled_at
    QUALIFY row_number() OVER (PARTITION BY a.part_id, s.event ORDER BY s.served_at DESC, s.pull_no DESC NULLS LAST) = 1
),
seen AS (
    SELECT j.part_id, j.event, count(*) AS pulls
    FROM joined AS j
    JOIN part_index AS p
        ON p.mold_no = j.mold_no AND p.pulled_at >= j.served_at
        AND (p.pulled_at, p.part_id) <= (j.pulled_at, j.part_id)
    GROUP BY j.part_id, j.event
)
SELECT
    j.part_serial, j.mold_no, j.event,
    coalesce(j.pull_no - j.served_at_pull, s.pulls) AS pulls,
    date_diff('day', j.served_at, j.pulled_at) AS days
FROM joined AS j
JOIN seen AS s ON s.part_id = j.part_id AND s.event = j.event
ORDER BY j.part_serial, j.event DESC;

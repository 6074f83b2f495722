-- The mold of each part, and how long it had run since it was last looked after. Pulls are
-- counted by the written pull numbers, else by the parts in the order of pulling.
CREATE TEMP TABLE pulls AS
SELECT
    part_id, hull_id, part, mold_no, pulled_at, pull_no,
    row_number() OVER (PARTITION BY mold_no ORDER BY pulled_at, part_id) AS seen_no
FROM part_index
WHERE mold_no IS NOT NULL AND pulled_at IS NOT NULL;

CREATE TEMP TABLE services AS
SELECT coalesce(n.present, e.mold_no) AS mold_no, e."at" AS served_at, e.pull_no, e.event
FROM mold_events AS e
LEFT JOIN mold_names AS n
    ON n.old = e.mold_no AND (n.given_again_at IS NULL OR e."at" < n.given_again_at)
WHERE e.event IN ('waxed', 'repaired');

INSERT INTO answers
SELECT DISTINCT hull_id, 'mold', part, '', 'mold', mold_no
FROM part_index
WHERE hull_id IN (SELECT hull_id FROM hulls_in_question);

-- One row per pull and count: the last service of that sort before it.
CREATE TEMP TABLE since_service AS
WITH sorts AS (
    SELECT 'service' AS sort, mold_no, served_at, pull_no FROM services
    UNION ALL
    SELECT 'wax', mold_no, served_at, pull_no FROM services WHERE event = 'waxed'
    UNION ALL
    SELECT 'repair', mold_no, served_at, pull_no FROM services WHERE event = 'repaired'
),
asked AS (
    SELECT p.*, s.sort FROM pulls AS p CROSS JOIN (SELECT DISTINCT sort FROM sorts) AS s
    WHERE p.hull_id IN (SELECT hull_id FROM hulls_in_question)
),
joined AS (
    SELECT a.*, s.served_at, s.pull_no AS served_at_pull
    FROM asked AS a
    ASOF LEFT JOIN sorts AS s
        ON s.mold_no = a.mold_no AND s.sort = a.sort AND a.pulled_at >= s.served_at
),
before AS (
    SELECT j.part_id, j.sort, max(p.seen_no) AS seen_before
    FROM joined AS j
    JOIN pulls AS p ON p.mold_no = j.mold_no AND p.pulled_at < j.served_at
    WHERE j.served_at IS NOT NULL AND (j.served_at_pull IS NULL OR j.pull_no IS NULL)
    GROUP BY j.part_id, j.sort
)
SELECT
    j.hull_id, j.part, j.sort,
    date_diff('day', j.served_at, j.pulled_at) AS days,
    CASE
        WHEN j.served_at IS NULL THEN coalesce(j.pull_no, j.seen_no)
        WHEN j.served_at_pull IS NOT NULL AND j.pull_no IS NOT NULL THEN j.pull_no - j.served_at_pull
        ELSE j.seen_no - coalesce(b.seen_before, 0)
    END AS pulls
FROM joined AS j
LEFT JOIN before AS b ON b.part_id = j.part_id AND b.sort = j.sort;

INSERT INTO measured
SELECT hull_id, 'mold condition', part, '', 'mold pulls since ' || sort, 'pulls', pulls
FROM since_service
WHERE pulls >= 0;

-- Days count from a service only; of a mold not yet served they are not known.
INSERT INTO measured
SELECT hull_id, 'mold condition', part, '', 'mold days since service', 'd', days
FROM since_service
WHERE sort = 'service';

INSERT INTO measured
SELECT hull_id, 'mold condition', part, '', 'mold pulls', 'pulls', pull_no
FROM pulls
WHERE pull_no IS NOT NULL AND hull_id IN (SELECT hull_id FROM hulls_in_question);

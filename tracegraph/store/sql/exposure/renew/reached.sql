-- Hulls that changed records reach: through a lot's blends and uses, through the readings and
-- the station of an operation, through the earlier history of a mold.
CREATE TEMP TABLE touched_lots AS
WITH RECURSIVE down AS (
    SELECT material, lot_no FROM changed_lots
    UNION
    SELECT material, lot_no FROM changed_blends
    UNION
    SELECT b.material, b.lot_no
    FROM down
    JOIN blends AS b ON coalesce(b.parent_material, b.material) = down.material AND b.parent_lot_no = down.lot_no
)
SELECT DISTINCT material, lot_no FROM down;

INSERT INTO touched
SELECT o.hull_id
FROM operation_index AS o
WHERE o.operation_id IN (
    SELECT operation_id FROM changed_usages
    UNION ALL
    SELECT operation_id FROM changed_readings
    UNION ALL
    SELECT u.operation_id FROM usages AS u JOIN touched_lots USING (material, lot_no)
    UNION ALL
    SELECT u.operation_id FROM meant_usages AS u JOIN touched_lots USING (material, lot_no)
);

INSERT INTO touched
SELECT o.hull_id
FROM operation_index AS o
LEFT JOIN cure_windows AS c ON c.step = o.step
JOIN (SELECT DISTINCT station, CAST("at" AS DATE) AS day FROM changed_ambient) AS a
    ON a.station = o.station
    AND a.day >= CAST(o.started_at - to_minutes($fresh_minutes) AS DATE)
    AND a.day <= CAST(
        coalesce(o.finished_at, o.started_at) + to_seconds(coalesce(c.hours, 0) * 3600.0) AS DATE
    );

INSERT INTO touched
SELECT p.hull_id
FROM part_index AS p
JOIN (
    SELECT mold_no, min("at") AS since
    FROM (
        SELECT mold_no, pulled_at AS "at" FROM changed_parts
        UNION ALL
        SELECT coalesce(n.present, e.mold_no), e."at"
        FROM changed_mold_events AS e
        LEFT JOIN mold_names AS n
            ON n.old = e.mold_no AND (n.given_again_at IS NULL OR e."at" < n.given_again_at)
        WHERE e.event IN ('waxed', 'repaired')
    )
    GROUP BY mold_no
) AS m ON m.mold_no = p.mold_no AND p.pulled_at >= m.since;

CREATE TEMP TABLE hulls_in_question AS
SELECT DISTINCT hull_id FROM touched WHERE hull_id IS NOT NULL;

-- All others, with both of their numbers.
CREATE TEMP TABLE others AS
SELECT earlier_id, hull_id FROM hull_map WHERE hull_id NOT IN (SELECT hull_id FROM hulls_in_question);

-- Every use, in a stretch of time, of the materials in question, anywhere in the plant: one
-- row per operation and container. An operation of the steps asked about without any use
-- written down counts as one use of which nothing is known. Where suppliers are asked about,
-- a lot tells something only if it has one supplier, or was mixed in the shop.
WITH written AS (
    SELECT
        o.operation_no, o.hull_id, o.part, o.step, o.station, o.equipment, o.started_at,
        u.material, coalesce(split_part(m.meant, '|', 2), u.lot_no) AS lot_no, u.drum_no, u.quantity, u.unit
    FROM usages AS u
    JOIN operation_index AS o USING (operation_id)
    LEFT JOIN meanings AS m ON m.link = 'use to lot' AND m.written = concat(u.material, '|', u.lot_no)
    WHERE u.material IN (SELECT material FROM carrying_materials)
        AND o.started_at BETWEEN $first AND $last
),
bare AS (
    SELECT
        o.operation_no, o.hull_id, o.part, o.step, o.station, o.equipment, o.started_at,
        s.material, CAST(NULL AS VARCHAR) AS lot_no, CAST(NULL AS VARCHAR) AS drum_no,
        CAST(NULL AS DOUBLE) AS quantity, CAST(NULL AS VARCHAR) AS unit
    FROM operation_index AS o
    JOIN (
        SELECT part, step, material, count(DISTINCT operation_no) AS operations
        FROM written GROUP BY part, step, material
    ) AS s ON s.part = o.part AND s.step = o.step
    ANTI JOIN written AS w ON w.operation_no = o.operation_no AND w.material = s.material
    WHERE o.started_at BETWEEN $first AND $last
        AND s.operations * 2 >= (
            SELECT count(*) FROM operation_index AS x
            WHERE x.part = o.part AND x.step = o.step AND x.started_at BETWEEN $first AND $last
        )
),
suppliers AS (
    SELECT material, lot_no FROM lots WHERE supplier IS NOT NULL
    GROUP BY material, lot_no HAVING count(DISTINCT supplier) = 1
    UNION
    SELECT material, lot_no FROM blends
)
SELECT
    w.*,
    h.model,
    h.plant,
    c.lot_no IS NOT NULL AS carries,
    NOT $by_supplier OR s.lot_no IS NOT NULL AS told
FROM (SELECT * FROM written UNION ALL SELECT * FROM bare) AS w
LEFT JOIN hull_index AS h USING (hull_id)
LEFT JOIN carrying_lots AS c ON c.material = w.material AND c.lot_no = w.lot_no
LEFT JOIN suppliers AS s ON s.material = w.material AND s.lot_no = w.lot_no
ORDER BY w.material, w.started_at, w.operation_no, w.lot_no, w.drum_no;

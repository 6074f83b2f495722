-- How many records of each sort reach what they speak of. Four of these are lists of
-- orphans: claims without a hull, uses of a lot without a record, lots never used, molds
-- without a part.
WITH known_lots AS (
    SELECT DISTINCT material, lot_no FROM lots
),
used_lots AS (
    SELECT DISTINCT material, lot_no FROM usages WHERE lot_no IS NOT NULL
    UNION
    SELECT DISTINCT coalesce(parent_material, material), parent_lot_no FROM blends
    UNION
    SELECT DISTINCT component, lot_no FROM component_index WHERE lot_no IS NOT NULL
),
blend_lots AS (
    SELECT DISTINCT material, lot_no FROM blends
),
linked AS (
    SELECT 1 AS place, 'claim lines to hulls' AS link, hull_id IS NOT NULL AS linked, concat_ws('/', claim_no, line_no) AS name
    FROM claim_index
    UNION ALL
    SELECT 2, 'parts to hulls', hull_id IS NOT NULL, part_serial FROM part_index
    UNION ALL
    SELECT 3, 'operations to hulls', hull_id IS NOT NULL, operation_id FROM operation_index
    UNION ALL
    SELECT 4, 'components to hulls', hull_id IS NOT NULL, coalesce(serial_no, component) FROM component_index
    UNION ALL
    SELECT 5, 'inspections to parts or hulls', hull_id IS NOT NULL OR part_id IS NOT NULL, inspection_id FROM inspection_index
    UNION ALL
    SELECT 6, 'uses to operations', o.operation_id IS NOT NULL, u.operation_id
    FROM usages AS u LEFT JOIN (SELECT DISTINCT operation_id FROM operation_index) AS o USING (operation_id)
    UNION ALL
    SELECT 7, 'readings to operations', o.operation_id IS NOT NULL, r.operation_id
    FROM readings AS r LEFT JOIN (SELECT DISTINCT operation_id FROM operation_index) AS o USING (operation_id)
    UNION ALL
    SELECT 8, 'uses with their lot written down', u.lot_no IS NOT NULL, u.operation_id FROM usages AS u
    UNION ALL
    SELECT 9, 'written lots to lot records', l.lot_no IS NOT NULL OR b.lot_no IS NOT NULL, concat_ws(' ', u.material, u.lot_no)
    FROM usages AS u
    LEFT JOIN known_lots AS l ON l.material = u.material AND l.lot_no = u.lot_no
    LEFT JOIN blend_lots AS b ON b.material = u.material AND b.lot_no = u.lot_no
    WHERE u.lot_no IS NOT NULL
    UNION ALL
    SELECT 10, 'received lots to a use', u.lot_no IS NOT NULL, concat_ws(' ', l.material, l.lot_no)
    FROM known_lots AS l LEFT JOIN used_lots AS u ON u.material = l.material AND u.lot_no = l.lot_no
    UNION ALL
    SELECT 11, 'molds with events to parts', p.mold_no IS NOT NULL, m.mold_no
    FROM (
        SELECT DISTINCT mold_no FROM mold_events
        WHERE mold_no NOT IN (SELECT mold_no FROM mold_events WHERE event = 'renamed')
    ) AS m
    LEFT JOIN (SELECT DISTINCT mold_no FROM part_index WHERE mold_no IS NOT NULL) AS p USING (mold_no)
)
SELECT
    link,
    count(*) AS records,
    count(*) FILTER (WHERE linked) AS linked,
    count(*) FILTER (WHERE NOT linked) AS not_linked,
    coalesce(list_sort(list_distinct(list(name) FILTER (WHERE NOT linked)))[1:20], []) AS examples
FROM linked
GROUP BY place, link
ORDER BY place;

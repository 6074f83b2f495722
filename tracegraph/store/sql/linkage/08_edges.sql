-- One step upstream between two nodes; relations bear the names of W3C PROV.
CREATE TEMP TABLE steps_upstream AS
SELECT 'claim' AS kind, concat_ws('/', c.claim_no, c.line_no) AS key, 'hull' AS up_kind, h.hull_serial AS up_key,
    'wasDerivedFrom' AS relation, CAST(NULL AS DOUBLE) AS share
FROM claim_index AS c JOIN hull_index AS h USING (hull_id)
UNION ALL
SELECT 'hull', h.hull_serial, 'part', p.part_serial, 'hadMember', NULL
FROM part_index AS p JOIN hull_index AS h USING (hull_id)
UNION ALL
SELECT 'hull', h.hull_serial, 'component', coalesce(c.serial_no, concat('no serial, ', c.component_id)), 'hadMember', NULL
FROM component_index AS c JOIN hull_index AS h USING (hull_id)
UNION ALL
SELECT 'part', p.part_serial, 'operation', o.operation_id, 'wasGeneratedBy', NULL
FROM operation_index AS o JOIN part_index AS p USING (part_id)
UNION ALL
SELECT 'hull', h.hull_serial, 'operation', o.operation_id, 'wasGeneratedBy', NULL
FROM operation_index AS o JOIN hull_index AS h ON h.hull_id = o.hull_id
WHERE o.part_id IS NULL
UNION ALL
SELECT 'part', part_serial, 'mold', mold_no, 'wasDerivedFrom', NULL
FROM part_index WHERE mold_no IS NOT NULL
UNION ALL
SELECT 'operation', o.operation_id,
    CASE WHEN u.drum_no IS NULL THEN 'lot' ELSE 'drum' END,
    concat_ws('|', u.material, u.lot_no, u.drum_no), 'used', NULL
FROM meant_usages AS u JOIN operation_by_id AS b USING (operation_id) JOIN operation_index AS o USING (operation_no)
WHERE u.lot_no IS NOT NULL
UNION ALL
SELECT 'drum', concat_ws('|', material, lot_no, drum_no), 'lot', concat_ws('|', material, lot_no), 'wasDerivedFrom', NULL
FROM lots_used WHERE drum_no IS NOT NULL
UNION ALL
SELECT 'lot', concat_ws('|', material, lot_no), 'lot',
    concat_ws('|', coalesce(parent_material, material), parent_lot_no), 'wasDerivedFrom', share
FROM blends
UNION ALL
SELECT 'lot', concat_ws('|', material, lot_no), 'supplier', supplier, 'wasAttributedTo', NULL
FROM lots WHERE supplier IS NOT NULL
UNION ALL
SELECT 'operation', operation_id, 'station', station, 'used', NULL FROM operation_index WHERE station IS NOT NULL
UNION ALL
SELECT 'operation', operation_id, 'equipment', equipment, 'used', NULL FROM operation_index WHERE equipment IS NOT NULL
UNION ALL
SELECT 'operation', operation_id, 'operator', operator, 'wasAssociatedWith', NULL
FROM operation_index WHERE operator IS NOT NULL
UNION ALL
SELECT 'operation', operation_id, 'crew', crew, 'wasAssociatedWith', NULL FROM operation_index WHERE crew IS NOT NULL
UNION ALL
SELECT 'component', coalesce(serial_no, concat('no serial, ', component_id)), 'lot', concat_ws('|', component, lot_no),
    'wasDerivedFrom', NULL
FROM component_index WHERE lot_no IS NOT NULL
UNION ALL
SELECT 'component', coalesce(serial_no, concat('no serial, ', component_id)), 'supplier', supplier, 'wasAttributedTo', NULL
FROM component_index WHERE supplier IS NOT NULL
UNION ALL
SELECT 'component', coalesce(serial_no, concat('no serial, ', component_id)), 'operator', fitted_by, 'wasAttributedTo', NULL
FROM component_index WHERE fitted_by IS NOT NULL;

CREATE TEMP TABLE numbered_steps AS
SELECT DISTINCT later.node_id, earlier.node_id AS upstream_id, s.relation, s.share
FROM steps_upstream AS s
JOIN nodes AS later ON later.kind = s.kind AND later.key = s.key
JOIN nodes AS earlier ON earlier.kind = s.up_kind AND earlier.key = s.up_key;

INSERT INTO edges_up
SELECT node_id, upstream_id, relation, share FROM numbered_steps ORDER BY node_id, upstream_id, relation, share;

INSERT INTO edges_down
SELECT upstream_id, node_id, relation, share FROM numbered_steps ORDER BY upstream_id, node_id, relation, share;

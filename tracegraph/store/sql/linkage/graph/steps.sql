-- One step upstream that a row under {{rows}}_... tells of; relations bear the names of W3C PROV.
CREATE TEMP TABLE {{rows}}_steps AS
SELECT 'claim' AS kind, key, 'hull' AS up_kind, hull_serial AS up_key,
    'wasDerivedFrom' AS relation, CAST(NULL AS DOUBLE) AS share
FROM {{rows}}_claims WHERE hull_serial IS NOT NULL
UNION ALL
SELECT 'hull', hull_serial, 'part', part_serial, 'hadMember', NULL
FROM {{rows}}_parts WHERE hull_serial IS NOT NULL
UNION ALL
SELECT 'hull', hull_serial, 'component', key, 'hadMember', NULL
FROM {{rows}}_components WHERE hull_serial IS NOT NULL
UNION ALL
SELECT 'part', part_serial, 'operation', operation_id, 'wasGeneratedBy', NULL
FROM {{rows}}_operations WHERE part_serial IS NOT NULL
UNION ALL
SELECT 'hull', hull_serial, 'operation', operation_id, 'wasGeneratedBy', NULL
FROM {{rows}}_operations WHERE hull_serial IS NOT NULL
UNION ALL
SELECT 'part', part_serial, 'mold', mold_no, 'wasDerivedFrom', NULL
FROM {{rows}}_parts WHERE mold_no IS NOT NULL
UNION ALL
SELECT 'operation', operation_id,
    CASE WHEN drum_no IS NULL THEN 'lot' ELSE 'drum' END,
    concat_ws('|', material, lot_no, drum_no), 'used', NULL
FROM {{rows}}_uses
UNION ALL
SELECT 'drum', concat_ws('|', material, lot_no, drum_no), 'lot', concat_ws('|', material, lot_no), 'wasDerivedFrom', NULL
FROM {{rows}}_lots_used WHERE drum_no IS NOT NULL
UNION ALL
SELECT 'lot', concat_ws('|', material, lot_no), 'lot', concat_ws('|', parent_material, parent_lot_no), 'wasDerivedFrom', share
FROM {{rows}}_blends
UNION ALL
SELECT 'lot', concat_ws('|', material, lot_no), 'supplier', supplier, 'wasAttributedTo', NULL
FROM {{rows}}_lots WHERE supplier IS NOT NULL
UNION ALL
SELECT 'operation', operation_id, 'station', station, 'used', NULL FROM {{rows}}_operations WHERE station IS NOT NULL
UNION ALL
SELECT 'operation', operation_id, 'equipment', equipment, 'used', NULL
FROM {{rows}}_operations WHERE equipment IS NOT NULL
UNION ALL
SELECT 'operation', operation_id, 'operator', operator, 'wasAssociatedWith', NULL
FROM {{rows}}_operations WHERE operator IS NOT NULL
UNION ALL
SELECT 'operation', operation_id, 'crew', crew, 'wasAssociatedWith', NULL FROM {{rows}}_operations WHERE crew IS NOT NULL
UNION ALL
SELECT 'component', key, 'lot', concat_ws('|', component, lot_no), 'wasDerivedFrom', NULL
FROM {{rows}}_components WHERE lot_no IS NOT NULL
UNION ALL
SELECT 'component', key, 'supplier', supplier, 'wasAttributedTo', NULL
FROM {{rows}}_components WHERE supplier IS NOT NULL
UNION ALL
SELECT 'component', key, 'operator', fitted_by, 'wasAttributedTo', NULL
FROM {{rows}}_components WHERE fitted_by IS NOT NULL;

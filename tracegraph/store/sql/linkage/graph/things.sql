-- Things that the rows under {{rows}}_... name, as often as they are named.
CREATE TEMP TABLE {{rows}}_things AS
SELECT 'claim' AS kind, key, concat_ws(' ', key, symptom) AS label FROM {{rows}}_claims
UNION ALL
SELECT 'hull', hull_serial, concat_ws(' ', model, hull_serial) FROM {{rows}}_hulls
UNION ALL
SELECT 'part', part_serial, concat_ws(' ', part, part_serial) FROM {{rows}}_parts
UNION ALL
SELECT 'operation', operation_id, concat_ws(' ', step, operation_id) FROM {{rows}}_operations
UNION ALL
SELECT 'lot', concat_ws('|', material, lot_no), concat_ws(' ', material, lot_no) FROM {{rows}}_lots
UNION ALL
SELECT 'lot', concat_ws('|', material, lot_no), concat_ws(' ', material, lot_no) FROM {{rows}}_lots_used
UNION ALL
SELECT 'lot', concat_ws('|', material, lot_no), concat_ws(' ', material, lot_no) FROM {{rows}}_blends
UNION ALL
SELECT 'lot', concat_ws('|', parent_material, parent_lot_no), concat_ws(' ', parent_material, parent_lot_no)
FROM {{rows}}_blends
UNION ALL
SELECT 'lot', concat_ws('|', component, lot_no), concat_ws(' ', component, lot_no)
FROM {{rows}}_components WHERE lot_no IS NOT NULL
UNION ALL
SELECT 'drum', concat_ws('|', material, lot_no, drum_no), concat_ws(' ', material, lot_no || '/' || drum_no)
FROM {{rows}}_lots_used WHERE drum_no IS NOT NULL
UNION ALL
SELECT 'supplier', supplier, supplier FROM {{rows}}_lots WHERE supplier IS NOT NULL
UNION ALL
SELECT 'supplier', supplier, supplier FROM {{rows}}_components WHERE supplier IS NOT NULL
UNION ALL
SELECT 'mold', mold_no, concat('mold ', mold_no) FROM {{rows}}_parts WHERE mold_no IS NOT NULL
UNION ALL
SELECT 'station', station, station FROM {{rows}}_operations WHERE station IS NOT NULL
UNION ALL
SELECT 'equipment', equipment, equipment FROM {{rows}}_operations WHERE equipment IS NOT NULL
UNION ALL
SELECT 'operator', operator, concat('person ', operator) FROM {{rows}}_operations WHERE operator IS NOT NULL
UNION ALL
SELECT 'operator', fitted_by, concat('person ', fitted_by) FROM {{rows}}_components WHERE fitted_by IS NOT NULL
UNION ALL
SELECT 'crew', crew, concat('crew ', crew) FROM {{rows}}_operations WHERE crew IS NOT NULL
UNION ALL
SELECT 'component', key, concat_ws(' ', component, serial_no) FROM {{rows}}_components;

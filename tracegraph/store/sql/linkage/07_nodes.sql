-- One node for each thing named in the records.
INSERT INTO nodes
SELECT
    CAST(row_number() OVER (ORDER BY kind, key) AS INTEGER),
    kind,
    key,
    min(label)
FROM (
    SELECT 'claim' AS kind, concat_ws('/', claim_no, line_no) AS key, concat_ws(' ', concat_ws('/', claim_no, line_no), symptom) AS label
    FROM claim_index
    UNION ALL
    SELECT 'hull', hull_serial, concat_ws(' ', model, hull_serial) FROM hull_index
    UNION ALL
    SELECT 'part', part_serial, concat_ws(' ', part, part_serial) FROM part_index
    UNION ALL
    SELECT 'operation', operation_id, concat_ws(' ', step, operation_id) FROM operation_index
    UNION ALL
    SELECT 'lot', concat_ws('|', material, lot_no), concat_ws(' ', material, lot_no) FROM lots
    UNION ALL
    SELECT 'lot', concat_ws('|', material, lot_no), concat_ws(' ', material, lot_no)
    FROM lots_used
    UNION ALL
    SELECT 'lot', concat_ws('|', material, lot_no), concat_ws(' ', material, lot_no) FROM blends
    UNION ALL
    SELECT 'lot', concat_ws('|', coalesce(parent_material, material), parent_lot_no),
        concat_ws(' ', coalesce(parent_material, material), parent_lot_no)
    FROM blends
    UNION ALL
    SELECT 'lot', concat_ws('|', component, lot_no), concat_ws(' ', component, lot_no)
    FROM component_index WHERE lot_no IS NOT NULL
    UNION ALL
    SELECT 'drum', concat_ws('|', material, lot_no, drum_no), concat_ws(' ', material, lot_no || '/' || drum_no)
    FROM lots_used WHERE drum_no IS NOT NULL
    UNION ALL
    SELECT 'supplier', supplier, supplier FROM lots WHERE supplier IS NOT NULL
    UNION ALL
    SELECT 'supplier', supplier, supplier FROM component_index WHERE supplier IS NOT NULL
    UNION ALL
    SELECT 'mold', mold_no, concat('mold ', mold_no) FROM part_index WHERE mold_no IS NOT NULL
    UNION ALL
    SELECT 'station', station, station FROM operation_index WHERE station IS NOT NULL
    UNION ALL
    SELECT 'equipment', equipment, equipment FROM operation_index WHERE equipment IS NOT NULL
    UNION ALL
    SELECT 'operator', operator, concat('person ', operator) FROM operation_index WHERE operator IS NOT NULL
    UNION ALL
    SELECT 'operator', fitted_by, concat('person ', fitted_by) FROM component_index WHERE fitted_by IS NOT NULL
    UNION ALL
    SELECT 'crew', crew, concat('crew ', crew) FROM operation_index WHERE crew IS NOT NULL
    UNION ALL
    SELECT 'component', coalesce(serial_no, concat('no serial, ', component_id)), concat_ws(' ', component, serial_no)
    FROM component_index
)
GROUP BY kind, key;

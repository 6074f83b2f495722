-- Every attempt at every check of the given parts and hulls; what was checked on a hull as a
-- whole is found by the number of the hull, so that a serial that two hulls bore tells them
-- apart by day. Rows are found by the one column first, so that the others are read for these
-- rows alone.
WITH of_hulls AS (
    SELECT x.inspection_id, h.hull_serial
    FROM inspection_index AS x
    JOIN hull_index AS h USING (hull_id)
    WHERE h.hull_serial IN (SELECT unnest(CAST($hulls AS VARCHAR[])))
),
checks AS (
    SELECT 'part' AS kind, part_serial AS key, *
    FROM inspections
    WHERE rowid IN (
        SELECT rowid FROM inspections WHERE part_serial IN (SELECT unnest(CAST($parts AS VARCHAR[])))
    )
    UNION ALL
    SELECT 'hull', x.hull_serial, i.*
    FROM inspections AS i
    JOIN of_hulls AS x USING (inspection_id)
    WHERE i.part_serial IS NULL
)
SELECT
    kind, key, inspection_id, checkpoint, "at", inspector, result, value, unit, defect, zone, attempt, photo, note
FROM checks
ORDER BY kind, key, checkpoint, "at", attempt, inspection_id;

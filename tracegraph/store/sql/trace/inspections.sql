-- Every attempt at every check of the given parts and hulls. A job number that two hulls
-- share leads to neither. Rows are found by the one column first, so that the others are
-- read for these rows alone.
WITH hulls_asked AS (
    SELECT hull_serial, job_no
    FROM hull_index
    WHERE hull_serial IN (SELECT unnest(CAST($hulls AS VARCHAR[])))
),
single_jobs AS (
    SELECT job_no FROM hull_index WHERE job_no IN (SELECT job_no FROM hulls_asked) GROUP BY job_no HAVING count(*) = 1
),
checks AS (
    SELECT 'part' AS kind, part_serial AS key, *
    FROM inspections
    WHERE rowid IN (
        SELECT rowid FROM inspections WHERE part_serial IN (SELECT unnest(CAST($parts AS VARCHAR[])))
    )
    UNION ALL
    SELECT 'hull', hull_serial, *
    FROM inspections
    WHERE part_serial IS NULL AND hull_serial IN (SELECT hull_serial FROM hulls_asked)
    UNION ALL
    SELECT 'hull', h.hull_serial, i.*
    FROM inspections AS i
    JOIN hulls_asked AS h ON h.job_no = i.job_no
    JOIN single_jobs AS s ON s.job_no = i.job_no
    WHERE i.part_serial IS NULL AND i.hull_serial IS NULL
)
SELECT
    kind, key, inspection_id, checkpoint, "at", inspector, result, value, unit, defect, zone, attempt, photo, note
FROM checks
ORDER BY kind, key, checkpoint, "at", attempt, inspection_id;

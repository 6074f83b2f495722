-- Every attempt at every check of the hull and its parts. A job number that two hulls
-- share leads to neither.
WITH asked AS (
    SELECT hull_serial, job_no FROM hull_index WHERE hull_id = $hull_id
),
single_jobs AS (
    SELECT job_no FROM hull_index WHERE job_no IN (SELECT job_no FROM asked) GROUP BY job_no HAVING count(*) = 1
)
SELECT
    i.inspection_id, coalesce(p.part, 'assembly') AS lane, i.checkpoint,
    timezone($time_zone, timezone('UTC', i."at")) AS "at",
    i.inspector, i.result, i.value, i.unit, i.defect, i.zone, i.attempt, i.note
FROM inspections AS i
LEFT JOIN (SELECT part_serial, any_value(part) AS part FROM part_index WHERE hull_id = $hull_id GROUP BY part_serial) AS p
    ON p.part_serial = i.part_serial
WHERE p.part IS NOT NULL
    OR (i.part_serial IS NULL AND i.hull_serial IN (SELECT hull_serial FROM asked))
    OR (i.part_serial IS NULL AND i.hull_serial IS NULL AND i.job_no IN (SELECT job_no FROM single_jobs))
ORDER BY i."at", i.attempt, i.inspection_id;

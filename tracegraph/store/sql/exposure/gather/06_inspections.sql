-- How each check of a hull or of one of its parts went, over all attempts: a check that was
-- left out, or passed only after a fail, is a suspect of its own. A job number or serial
-- that two things share leads to neither.
CREATE TEMP TABLE checks AS
WITH parts_once AS (
    SELECT part_serial, any_value(hull_id) AS hull_id, any_value(part) AS part
    FROM part_index GROUP BY part_serial HAVING count(*) = 1
),
serials_once AS (
    SELECT hull_serial, any_value(hull_id) AS hull_id FROM hull_index GROUP BY hull_serial HAVING count(*) = 1
),
jobs_once AS (
    SELECT job_no, any_value(hull_id) AS hull_id
    FROM hull_index WHERE job_no IS NOT NULL GROUP BY job_no HAVING count(*) = 1
)
SELECT
    coalesce(p.hull_id, s.hull_id, j.hull_id) AS hull_id,
    coalesce(p.part, 'hull') AS part,
    i.checkpoint, i."at", i.result,
    row_number() OVER (ORDER BY i."at", i.attempt NULLS FIRST, i.inspection_id, i.source_id, i.source_row) AS place
FROM inspections AS i
LEFT JOIN parts_once AS p ON p.part_serial = i.part_serial
LEFT JOIN serials_once AS s ON i.part_serial IS NULL AND s.hull_serial = i.hull_serial
LEFT JOIN jobs_once AS j ON i.part_serial IS NULL AND j.job_no = i.job_no
WHERE coalesce(p.hull_id, s.hull_id, j.hull_id) IS NOT NULL;

INSERT INTO answers
SELECT
    hull_id, 'process reading', part, checkpoint, 'result',
    CASE
        WHEN count(*) FILTER (WHERE result <> 'not done') = 0 THEN 'not done'
        WHEN arg_max(result, place) FILTER (WHERE result <> 'not done') = 'fail' THEN 'failed'
        WHEN bool_or(result = 'fail') THEN 'passed after a fail'
        ELSE 'pass first time'
    END
FROM checks
GROUP BY hull_id, part, checkpoint;

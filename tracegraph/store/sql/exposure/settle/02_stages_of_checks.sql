-- Checks come after all work, in their own order: what they found is a consequence of the
-- work and is never held constant when the work is asked about. A check may bear the name
-- of a step, so they have a table of their own.
CREATE TEMP TABLE stages_of_checks AS
WITH first_work AS (
    SELECT hull_id, min(started_at) AS began FROM operation_index
    WHERE hull_id IS NOT NULL AND part IS NOT NULL
    GROUP BY hull_id
),
placed AS (
    SELECT c.part, c.checkpoint, median(date_diff('minute', w.began, c."at")) AS minutes
    FROM checks AS c
    LEFT JOIN first_work AS w USING (hull_id)
    GROUP BY c.part, c.checkpoint
),
last_stage AS (
    SELECT coalesce(max(stage), 0) AS stage FROM stages
)
SELECT
    p.part, p.checkpoint,
    CAST(l.stage + row_number() OVER (ORDER BY p.minutes NULLS LAST, p.part, p.checkpoint) AS INTEGER) AS stage
FROM placed AS p
CROSS JOIN last_stage AS l;

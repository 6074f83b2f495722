-- Equipment, station, people and calendar of each operation.
INSERT INTO answers
SELECT DISTINCT hull_id, 'equipment', part, step, 'equipment', equipment FROM work
UNION ALL
SELECT DISTINCT hull_id, 'equipment', part, step, 'station', station FROM work
UNION ALL
SELECT DISTINCT hull_id, 'people', part, step, 'operator', operator FROM work
UNION ALL
SELECT DISTINCT hull_id, 'people', part, step, 'crew', crew FROM work
UNION ALL
SELECT DISTINCT hull_id, 'timing', part, step, 'shift', shift FROM work
UNION ALL
SELECT DISTINCT hull_id, 'timing', part, step, 'weekday', dayname(local_start) FROM work
UNION ALL
SELECT DISTINCT hull_id, 'timing', part, step, 'week', strftime(local_start, '%G-W%V') FROM work;

-- Hours on the same part since the step before it, from its end where that is known.
CREATE TEMP TABLE waits AS
WITH ordered AS (
    SELECT
        hull_id, part, step, started_at,
        lag(step) OVER in_time AS step_before,
        lag(coalesce(finished_at, started_at)) OVER in_time AS ended_before
    FROM operation_index
    WHERE part_id IS NOT NULL AND hull_id IS NOT NULL AND part IS NOT NULL
    WINDOW in_time AS (PARTITION BY part_id ORDER BY started_at, operation_no)
)
SELECT hull_id, part, step, step_before, date_diff('minute', ended_before, started_at) / 60.0 AS hours
FROM ordered
WHERE step_before <> step;

-- Only the usual step before: the one that precedes at least half of the times.
CREATE TEMP TABLE usual_before AS
SELECT part, step, step_before
FROM waits
GROUP BY part, step, step_before
QUALIFY count(*) * 2 >= sum(count(*)) OVER (PARTITION BY part, step);

INSERT INTO measured
SELECT w.hull_id, 'timing', w.part, w.step, 'hours since ' || w.step_before, 'h', w.hours
FROM waits AS w
JOIN usual_before AS u ON u.part = w.part AND u.step = w.step AND u.step_before = w.step_before
WHERE w.hours >= 0 AND w.hull_id IN (SELECT hull_id FROM hulls_in_question);

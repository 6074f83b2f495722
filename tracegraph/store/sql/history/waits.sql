-- Waits of this hull: from the end of one step to the start of the next.
SELECT
    own.operation_no, own.lane, w.step_before, own.step,
    timezone($time_zone, timezone('UTC', w.ended_before)) AS ended_at,
    timezone($time_zone, timezone('UTC', own.started_at)) AS started_at,
    w.hours
FROM waits AS w
JOIN own USING (operation_no)
ORDER BY own.lane, own.started_at, own.operation_no;

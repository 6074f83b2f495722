-- The time over which conditions count: from start to end of the operation and on through
-- the step's cure window, if it has one.
CREATE TEMP TABLE windows AS
SELECT
    w.operation_no, w.hull_id, w.part, w.step, w.station, w.started_at AS opened,
    coalesce(w.finished_at, w.started_at) + to_seconds(coalesce(c.hours, 0) * 3600.0) AS closed
FROM work AS w
LEFT JOIN cure_windows AS c ON c.step = w.step;

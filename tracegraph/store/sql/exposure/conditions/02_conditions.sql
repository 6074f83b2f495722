-- What was written down at the operation itself.
CREATE TEMP TABLE by_hand AS
SELECT w.operation_no, r.quantity, any_value(r.unit) AS unit, avg(r.value) AS mean
FROM readings AS r
JOIN work AS w ON w.operation_id = r.operation_id
GROUP BY w.operation_no, r.quantity;

-- The logger's mean where there is one, else the reading.
CREATE TEMP TABLE conditions AS
SELECT
    coalesce(l.operation_no, h.operation_no) AS operation_no,
    coalesce(l.quantity, h.quantity) AS quantity,
    coalesce(l.unit, h.unit) AS unit,
    coalesce(l.mean, h.mean) AS mean,
    l.low,
    l.high
FROM by_logger AS l
FULL JOIN by_hand AS h ON h.operation_no = l.operation_no AND h.quantity = l.quantity;

-- Mean, minimum and maximum of the station's series over the window. Series and windows
-- meet on the day first, so that only near pairs are compared.
CREATE TEMP TABLE by_logger AS
WITH days AS (
    SELECT *, unnest(generate_series(CAST(opened AS DATE), CAST(closed AS DATE), INTERVAL 1 DAY)) AS day
    FROM windows
    WHERE station IN (SELECT station FROM ambient)
),
series AS (
    SELECT station, "at", CAST("at" AS DATE) AS day, quantity, value, unit FROM ambient
)
SELECT
    d.operation_no, s.quantity, any_value(s.unit) AS unit,
    avg(s.value) AS mean, min(s.value) AS low, max(s.value) AS high
FROM days AS d
JOIN series AS s ON s.station = d.station AND s.day = d.day AND s."at" BETWEEN d.opened AND d.closed
GROUP BY d.operation_no, s.quantity;

-- Work too short to hold a logged value takes the last one before it, if it is fresh.
INSERT INTO by_logger
WITH quantities AS (
    SELECT DISTINCT station, quantity FROM ambient
),
bare AS (
    SELECT w.operation_no, w.station, w.opened, q.quantity
    FROM windows AS w
    JOIN quantities AS q ON q.station = w.station
    ANTI JOIN by_logger AS l ON l.operation_no = w.operation_no AND l.quantity = q.quantity
)
SELECT b.operation_no, b.quantity, a.unit, a.value, a.value, a.value
FROM bare AS b
ASOF JOIN ambient AS a
    ON a.station = b.station AND a.quantity = b.quantity AND b.opened >= a."at"
WHERE b.opened - a."at" <= to_minutes($fresh_minutes);

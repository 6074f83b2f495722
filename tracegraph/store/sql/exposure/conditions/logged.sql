-- What the loggers saw during each operation in work.
SELECT w.operation_id, l.quantity, l.unit, l.mean, l.low, l.high
FROM by_logger AS l
JOIN work AS w USING (operation_no)
WHERE l.mean IS NOT NULL
ORDER BY w.operation_id, l.quantity;

-- Each condition, reading and wait of this hull, beside the same of its peers: one row per
-- value, with whose it is. A wait is compared with waits since the same step.
WITH all_values AS (
    SELECT operation_no, CASE WHEN quantity = 'dew_point_margin' THEN 'computed' WHEN low IS NULL THEN 'written' ELSE 'logger' END AS source, quantity, unit, mean AS value
    FROM conditions
    WHERE mean IS NOT NULL AND NOT isnan(mean)
    UNION ALL
    SELECT operation_no, 'wait', 'hours since ' || step_before, 'h', hours FROM waits
)
SELECT
    own.operation_no AS own_no, own.lane, own.step, mine.quantity, mine.source, mine.unit, mine.value,
    true AS this_hull
FROM own
JOIN all_values AS mine ON mine.operation_no = own.operation_no
UNION ALL
SELECT p.own_no, own.lane, own.step, mine.quantity, mine.source, mine.unit, theirs.value, false
FROM own
JOIN all_values AS mine ON mine.operation_no = own.operation_no
JOIN pairs AS p ON p.own_no = own.operation_no
JOIN all_values AS theirs
    ON theirs.operation_no = p.operation_no AND theirs.quantity = mine.quantity
    AND theirs.unit IS NOT DISTINCT FROM mine.unit
ORDER BY own_no, quantity, this_hull DESC, value;

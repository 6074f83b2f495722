-- Conditions as measured answers. An operation without a value where at least half of its
-- like have one answers "not written down".
CREATE TEMP TABLE usual_quantities AS
SELECT w.part, w.step, c.quantity, any_value(c.unit) AS unit
FROM conditions AS c
JOIN work AS w USING (operation_no)
GROUP BY w.part, w.step, c.quantity
HAVING count(*) * 2 >= (SELECT count(*) FROM work AS x WHERE x.part = w.part AND x.step = w.step);

INSERT INTO measured
SELECT
    w.hull_id,
    CASE WHEN list_contains($ambient_quantities, c.quantity) THEN 'ambient condition' ELSE 'process reading' END,
    w.part, w.step, c.quantity, c.unit, c.mean
FROM conditions AS c
JOIN work AS w USING (operation_no);

INSERT INTO measured
SELECT w.hull_id, 'ambient condition', w.part, w.step, c.quantity || ' minimum', c.unit, c.low
FROM conditions AS c JOIN work AS w USING (operation_no)
WHERE c.low IS NOT NULL
UNION ALL
SELECT w.hull_id, 'ambient condition', w.part, w.step, c.quantity || ' maximum', c.unit, c.high
FROM conditions AS c JOIN work AS w USING (operation_no)
WHERE c.high IS NOT NULL;

INSERT INTO measured
SELECT
    w.hull_id,
    CASE WHEN list_contains($ambient_quantities, u.quantity) THEN 'ambient condition' ELSE 'process reading' END,
    w.part, w.step, u.quantity, u.unit, NULL
FROM work AS w
JOIN usual_quantities AS u ON u.part = w.part AND u.step = w.step
ANTI JOIN conditions AS c ON c.operation_no = w.operation_no AND c.quantity = u.quantity;

-- Conditions as measured answers. An operation without a value where it is usual to have one
-- answers "not written down".
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

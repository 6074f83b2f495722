-- What is measured on at least half of the operations of one kind.
CREATE TEMP TABLE usual_quantities AS
SELECT w.part, w.step, c.quantity, any_value(c.unit) AS unit
FROM conditions AS c
JOIN work AS w USING (operation_no)
GROUP BY w.part, w.step, c.quantity
HAVING count(*) * 2 >= (SELECT count(*) FROM work AS x WHERE x.part = w.part AND x.step = w.step);

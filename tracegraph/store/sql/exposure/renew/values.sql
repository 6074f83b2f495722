-- Single values of the other hulls, under the numbers of before for families and of now for
-- hulls.
CREATE TEMP TABLE others_values AS
WITH several AS (
    SELECT DISTINCT family_id, hull_id FROM earlier.repeated_values
)
SELECT v.family_id, o.hull_id, v.value
FROM earlier.measured_values AS v
JOIN others AS o ON o.earlier_id = v.hull_id
ANTI JOIN several AS s ON s.family_id = v.family_id AND s.hull_id = v.hull_id
UNION ALL
SELECT r.family_id, o.hull_id, r.value
FROM earlier.repeated_values AS r
JOIN others AS o ON o.earlier_id = r.hull_id;

-- What was and is measured on at least half of the operations of one kind.
CREATE TEMP TABLE quantities AS
WITH named AS (
    SELECT family_id, part, step, substr(family, length(concat_ws(': ', part, step)) + 3) AS quantity, unit
    FROM earlier.families
    WHERE kind IN ('ambient condition', 'process reading') AND step <> ''
),
before AS (
    SELECT family_id, count(*) AS times FROM (
        SELECT v.family_id FROM earlier.measured_values AS v
        UNION ALL
        SELECT family_id FROM earlier.repeated_values
        UNION ALL
        -- the mean of several values is none of them
        SELECT -family_id FROM (SELECT DISTINCT family_id, hull_id FROM earlier.repeated_values)
    )
    GROUP BY family_id
),
now AS (
    SELECT family_id, count(*) AS times FROM others_values GROUP BY family_id
),
added AS (
    SELECT w.part, w.step, c.quantity, count(*) AS times
    FROM conditions AS c JOIN work AS w USING (operation_no)
    GROUP BY ALL
),
worked_before AS (
    SELECT part, step, count(*) AS times FROM earlier.operation_index
    WHERE hull_id IS NOT NULL AND part IS NOT NULL GROUP BY part, step
),
worked AS (
    SELECT part, step, count(*) AS times FROM operation_index
    WHERE hull_id IS NOT NULL AND part IS NOT NULL GROUP BY part, step
)
SELECT
    n.part, n.step, n.quantity, n.unit,
    (coalesce(b.times, 0) - coalesce(several.times, 0)) * 2 >= coalesce(wb.times, 0) AS usual_before,
    (coalesce(now.times, 0) + coalesce(a.times, 0)) * 2 >= coalesce(w.times, 0) AS usual
FROM named AS n
LEFT JOIN before AS b ON b.family_id = n.family_id
LEFT JOIN before AS several ON several.family_id = -n.family_id
LEFT JOIN now ON now.family_id = n.family_id
LEFT JOIN added AS a ON a.part = n.part AND a.step = n.step AND a.quantity = n.quantity
LEFT JOIN worked_before AS wb ON wb.part = n.part AND wb.step = n.step
LEFT JOIN worked AS w ON w.part = n.part AND w.step = n.step
WHERE coalesce(b.times, 0) > 0 AND n.quantity NOT LIKE '% minimum' AND n.quantity NOT LIKE '% maximum';

CREATE TEMP TABLE usual_quantities AS
SELECT part, step, quantity, unit FROM quantities WHERE usual;

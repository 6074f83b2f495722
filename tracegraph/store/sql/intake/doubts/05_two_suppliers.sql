-- Lot numbers that two suppliers gave to the same material: each supplier's is a lot of its
-- own, and a use or a blend that names none of them may be undecided.
INSERT INTO remarks
WITH shared AS (
    SELECT DISTINCT l.material, c.raw AS lot_no
    FROM cleaned_values AS c
    JOIN lots AS l ON l.source_id = c.source_id AND l.source_row = c.source_row AND l.lot_no = c.value
    WHERE c.rule = 'one number of two suppliers' AND c.table_name = 'lots'
    UNION
    SELECT DISTINCT p.component, c.raw
    FROM cleaned_values AS c
    JOIN components AS p ON p.source_id = c.source_id AND p.source_row = c.source_row AND p.lot_no = c.value
    WHERE c.rule = 'one number of two suppliers' AND c.table_name = 'components'
),
undecided AS (
    SELECT u.lot_no FROM usages AS u JOIN shared USING (material, lot_no)
    UNION ALL
    SELECT p.lot_no FROM components AS p JOIN shared AS s ON s.material = p.component AND s.lot_no = p.lot_no
    UNION ALL
    SELECT b.parent_lot_no FROM blends AS b
    JOIN shared AS s ON s.material = coalesce(b.parent_material, b.material) AND s.lot_no = b.parent_lot_no
)
SELECT NULL, 'lots', 'one lot, two suppliers', count(*),
    concat(
        count(*), ' lot numbers came from more than one supplier, such as ', min(lot_no),
        ': each supplier''s is a lot of its own; ', (SELECT count(*) FROM undecided),
        ' uses that do not tell which are undecided (lots_of_suppliers in intake.toml tells them)'
    )
FROM shared
HAVING count(*) > 0;

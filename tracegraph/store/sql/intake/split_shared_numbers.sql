-- Each supplier's lot of a shared number becomes a lot of its own, with the supplier behind
-- the number. A component bears its supplier; a use is told by its day where only one of the
-- lots had been received by then. All others stay under the bare number: undecided.
CREATE OR REPLACE TEMP TABLE shared_lots AS
SELECT material, lot_no, concat(lot_no, ' (', supplier, ')') AS own_name, min(received_on) AS received_on
FROM (
    SELECT material, lot_no, supplier, received_on FROM lots
    UNION ALL
    SELECT component, lot_no, supplier, NULL FROM components
)
JOIN shared_numbers USING (material, lot_no)
WHERE supplier IS NOT NULL
GROUP BY material, lot_no, supplier;

CREATE OR REPLACE TEMP TABLE told_uses AS
SELECT u.rowid AS row_key, u.source_id, u.source_row, u.lot_no, min(l.own_name) AS own_name
FROM usages AS u
JOIN shared_lots AS l USING (material, lot_no)
JOIN operations AS o USING (operation_id)
WHERE l.received_on IS NULL OR l.received_on <= CAST(o.started_at AS DATE)
GROUP BY ALL
HAVING count(DISTINCT l.own_name) = 1;

INSERT INTO cleaned_values
SELECT source_id, source_row, 'usages', 'lot_no', lot_no, own_name, 'one number of two suppliers', 1 FROM told_uses
UNION ALL
SELECT source_id, source_row, 'lots', 'lot_no', lot_no, concat(lot_no, ' (', supplier, ')'), 'one number of two suppliers', 1
FROM lots JOIN shared_numbers USING (material, lot_no)
WHERE supplier IS NOT NULL
UNION ALL
SELECT source_id, source_row, 'components', 'lot_no', c.lot_no, concat(c.lot_no, ' (', supplier, ')'), 'one number of two suppliers', 1
FROM components AS c JOIN shared_numbers AS s ON s.material = c.component AND s.lot_no = c.lot_no
WHERE supplier IS NOT NULL;

UPDATE usages SET lot_no = t.own_name FROM told_uses AS t WHERE usages.rowid = t.row_key;

UPDATE lots AS l
SET lot_no = concat(l.lot_no, ' (', l.supplier, ')')
FROM shared_numbers AS s
WHERE s.material = l.material AND s.lot_no = l.lot_no AND l.supplier IS NOT NULL;

UPDATE components AS c
SET lot_no = concat(c.lot_no, ' (', c.supplier, ')')
FROM shared_numbers AS s
WHERE s.material = c.component AND s.lot_no = c.lot_no AND c.supplier IS NOT NULL;

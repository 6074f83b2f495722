-- One lot number that two suppliers gave: uses between two days are of one supplier's lot,
-- which bears the supplier behind its number from here on.
CREATE OR REPLACE TEMP TABLE told_lots AS
SELECT unnest($lots, recursive := true);

INSERT INTO cleaned_values
SELECT u.source_id, u.source_row, 'usages', 'lot_no', u.lot_no, t.own_name, 'supplier told by intake.toml', 1
FROM usages AS u
JOIN operations AS o USING (operation_id)
JOIN told_lots AS t ON t.material = u.material AND lower(t.lot_no) = lower(u.lot_no)
WHERE CAST(o.started_at AS DATE) BETWEEN t.first_day AND t.last_day;

UPDATE usages AS u
SET lot_no = t.own_name
FROM told_lots AS t
JOIN operations AS o ON CAST(o.started_at AS DATE) BETWEEN t.first_day AND t.last_day
WHERE t.material = u.material AND lower(t.lot_no) = lower(u.lot_no) AND o.operation_id = u.operation_id;

INSERT INTO cleaned_values
SELECT l.source_id, l.source_row, 'lots', 'lot_no', l.lot_no, t.own_name, 'supplier told by intake.toml', 1
FROM lots AS l
JOIN (SELECT DISTINCT material, lot_no, supplier, own_name FROM told_lots) AS t
    ON t.material = l.material AND lower(t.lot_no) = lower(l.lot_no) AND lower(t.supplier) = lower(l.supplier);

UPDATE lots AS l
SET lot_no = t.own_name
FROM told_lots AS t
WHERE t.material = l.material AND lower(t.lot_no) = lower(l.lot_no) AND lower(t.supplier) = lower(l.supplier);

DROP TABLE told_lots;

-- Recorded use of a lot: by itself and within the blends that hold it, by lot used, hull,
-- part and step. Operations that reached no hull used it all the same.
SELECT
    u.material, coalesce(split_part(m.meant, '|', 2), u.lot_no) AS lot_no,
    o.operation_no, o.hull_id, o.part, o.step, u.quantity, u.unit
FROM usages AS u
LEFT JOIN operation_index AS o USING (operation_id)
LEFT JOIN meanings AS m ON m.link = 'use to lot' AND m.written = concat(u.material, '|', u.lot_no)
JOIN carrying_lots AS c
    ON c.material = u.material AND c.lot_no = coalesce(split_part(m.meant, '|', 2), u.lot_no)
ORDER BY u.material, lot_no, o.operation_no;

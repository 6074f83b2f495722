-- From when to when a use of the lots asked about, or of the one drum, was written down.
SELECT min(o.started_at) AS first_use, max(o.started_at) AS last_use, count(*) AS uses
FROM usages AS u
JOIN operation_index AS o USING (operation_id)
LEFT JOIN meanings AS m ON m.link = 'use to lot' AND m.written = concat(u.material, '|', u.lot_no)
JOIN carrying_lots AS c
    ON c.material = u.material AND c.lot_no = coalesce(split_part(m.meant, '|', 2), u.lot_no)
WHERE $drum_no IS NULL
    OR (u.drum_no = $drum_no AND u.material = $material AND coalesce(split_part(m.meant, '|', 2), u.lot_no) = $lot_no);

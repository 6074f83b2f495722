-- What went into the blends that hold the lot asked about.
SELECT b.material, b.lot_no, coalesce(b.parent_material, b.material) AS parent_material, b.parent_lot_no, b.share
FROM blends AS b
JOIN carrying_lots AS c ON c.material = b.material AND c.lot_no = b.lot_no
JOIN carrying_lots AS p ON p.material = coalesce(b.parent_material, b.material) AND p.lot_no = b.parent_lot_no
ORDER BY ALL;

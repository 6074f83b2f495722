-- The lots asked about as received, in the order of receipt.
SELECT l.material, l.lot_no, l.supplier, l.received_on, l.received_qty, l.on_hand_qty, l.scrapped_qty, l.unit
FROM lots AS l
WHERE l.material = $material AND l.lot_no = $lot_no
ORDER BY l.received_on, l.source_id, l.source_row;

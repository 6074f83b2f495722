-- What each operation used, and each lot and drum that was used at all.
CREATE TEMP VIEW now_uses AS
SELECT u.operation_id, u.material, u.lot_no, u.drum_no
FROM meant_usages AS u JOIN operation_by_id AS b USING (operation_id)
WHERE u.lot_no IS NOT NULL;

CREATE TEMP VIEW now_lots_used AS
SELECT material, lot_no, drum_no FROM lots_used;

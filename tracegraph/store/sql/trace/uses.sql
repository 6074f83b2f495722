-- How much of each lot or drum the given operations used, where it was written down. A
-- drum's key bears its number; amounts in different units do not add up. Rows are found by
-- the one column first, so that the others are read for these rows alone.
SELECT
    u.operation_id,
    CASE WHEN u.drum_no IS NULL THEN 'lot' ELSE 'drum' END AS kind,
    concat_ws('|', u.material, coalesce(split_part(m.meant, '|', 2), u.lot_no), u.drum_no) AS key,
    sum(u.quantity) AS quantity,
    any_value(u.unit) AS unit
FROM usages AS u
LEFT JOIN meanings AS m ON m.link = 'use to lot' AND m.written = concat(u.material, '|', u.lot_no)
WHERE u.rowid IN (
    SELECT rowid FROM usages WHERE operation_id IN (SELECT unnest(CAST($operations AS VARCHAR[])))
)
    AND u.lot_no IS NOT NULL AND u.quantity IS NOT NULL
GROUP BY ALL
HAVING count(DISTINCT u.unit) <= 1
ORDER BY ALL;

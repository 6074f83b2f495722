-- Uses that came with this load, and all uses of operations that changed, now and before.
CREATE TEMP TABLE changed_work AS
SELECT operation_id FROM added_operations UNION SELECT operation_id FROM gone_operations;

CREATE TEMP TABLE added_uses_written AS
SELECT DISTINCT operation_id, material, lot_no, drum_no
FROM meant_usages
WHERE lot_no IS NOT NULL
    AND (source_id > $last_source OR operation_id IN (SELECT operation_id FROM changed_work));

CREATE TEMP TABLE gone_uses_written AS
SELECT DISTINCT
    u.operation_id, u.material,
    CASE WHEN m.meant IS NOT NULL THEN split_part(m.meant, '|', 2) ELSE u.lot_no END AS lot_no,
    u.drum_no
FROM earlier.usages AS u
LEFT JOIN meanings AS m ON m.link = 'use to lot' AND m.written = concat(u.material, '|', u.lot_no)
WHERE u.lot_no IS NOT NULL AND u.operation_id IN (SELECT operation_id FROM changed_work);

CREATE TEMP TABLE added_uses AS
SELECT u.* FROM added_uses_written AS u JOIN operation_by_id USING (operation_id);

CREATE TEMP TABLE gone_uses AS
SELECT u.* FROM gone_uses_written AS u
WHERE operation_id IN (SELECT operation_id FROM earlier.operation_index);

CREATE TEMP VIEW added_lots_used AS
SELECT DISTINCT material, lot_no, drum_no FROM added_uses_written;

CREATE TEMP VIEW gone_lots_used AS
SELECT DISTINCT material, lot_no, drum_no FROM gone_uses_written;

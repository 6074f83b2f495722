-- The records with the numbers that a person said were meant; the record tables keep what
-- was written.
CREATE TEMP VIEW meant_claims AS
SELECT c.* REPLACE (coalesce(m.meant, c.hull_serial) AS hull_serial)
FROM claims AS c
LEFT JOIN meanings AS m ON m.link = 'claim to hull' AND m.written = c.hull_serial;

CREATE TEMP VIEW meant_parts AS
SELECT p.* REPLACE (
    coalesce(s.meant, p.hull_serial) AS hull_serial,
    coalesce(j.meant, p.job_no) AS job_no
)
FROM parts AS p
LEFT JOIN meanings AS s ON s.link = 'part to hull' AND s.written = p.hull_serial
LEFT JOIN meanings AS j ON j.link = 'part to hull' AND j.written = p.job_no;

CREATE TEMP VIEW meant_operations AS
SELECT o.* REPLACE (coalesce(m.meant, o.part_serial) AS part_serial)
FROM operations AS o
LEFT JOIN meanings AS m ON m.link = 'operation to part' AND m.written = o.part_serial;

-- Lot numbers that two suppliers gave: under the bare number they name no lot.
CREATE TEMP TABLE undecided_lots AS
SELECT DISTINCT l.material, c.raw AS lot_no
FROM cleaned_values AS c
JOIN lots AS l ON l.source_id = c.source_id AND l.source_row = c.source_row AND l.lot_no = c.value
WHERE c.rule = 'one number of two suppliers' AND c.table_name = 'lots'
UNION
SELECT DISTINCT p.component, c.raw
FROM cleaned_values AS c
JOIN components AS p ON p.source_id = c.source_id AND p.source_row = c.source_row AND p.lot_no = c.value
WHERE c.rule = 'one number of two suppliers' AND c.table_name = 'components';

CREATE TEMP VIEW meant_blends AS
SELECT b.* REPLACE (CASE WHEN d.lot_no IS NULL THEN b.parent_lot_no END AS parent_lot_no)
FROM blends AS b
LEFT JOIN undecided_lots AS d
    ON d.material = coalesce(b.parent_material, b.material) AND d.lot_no = b.parent_lot_no;

CREATE TEMP VIEW meant_usages AS
SELECT u.* REPLACE (
    CASE WHEN m.meant IS NOT NULL THEN split_part(m.meant, '|', 2) WHEN d.lot_no IS NULL THEN u.lot_no END AS lot_no
)
FROM usages AS u
LEFT JOIN undecided_lots AS d ON d.material = u.material AND d.lot_no = u.lot_no
LEFT JOIN meanings AS m ON m.link = 'use to lot' AND m.written = concat(u.material, '|', u.lot_no);

-- Each lot and drum that was used, once, with its uses: few beside the uses themselves.
CREATE TEMP TABLE lots_used AS
SELECT material, lot_no, drum_no, count(*) AS uses
FROM meant_usages
WHERE lot_no IS NOT NULL
GROUP BY ALL;

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

CREATE TEMP VIEW meant_usages AS
SELECT u.* REPLACE (coalesce(split_part(m.meant, '|', 2), u.lot_no) AS lot_no)
FROM usages AS u
LEFT JOIN meanings AS m ON m.link = 'use to lot' AND m.written = concat(u.material, '|', u.lot_no);

-- Each lot and drum that was used, once, with its uses: few beside the uses themselves.
CREATE TEMP TABLE lots_used AS
SELECT material, lot_no, drum_no, count(*) AS uses
FROM meant_usages
WHERE lot_no IS NOT NULL
GROUP BY ALL;

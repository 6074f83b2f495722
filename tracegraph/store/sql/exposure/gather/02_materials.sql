-- Lots, drums and suppliers of each use, by part and step.
CREATE TEMP TABLE supplier_of_lot AS
SELECT material, lot_no, min(supplier) AS supplier
FROM lots
WHERE supplier IS NOT NULL
GROUP BY material, lot_no
HAVING count(DISTINCT supplier) = 1;

CREATE TEMP TABLE made_on_of_lot AS
SELECT material, lot_no, min(made_on) AS made_on
FROM lots
WHERE made_on IS NOT NULL
GROUP BY material, lot_no
HAVING count(DISTINCT made_on) = 1;

CREATE TEMP TABLE uses AS
SELECT DISTINCT w.hull_id, w.part, w.step, u.material, u.lot_no, u.drum_no, CAST(w.local_start AS DATE) AS used_on
FROM meant_usages AS u
JOIN work AS w ON w.operation_id = u.operation_id;

INSERT INTO answers
SELECT DISTINCT hull_id, 'material lot', part, step, material || ' lot', lot_no FROM uses;

INSERT INTO answers
SELECT DISTINCT hull_id, 'drum', part, step, material || ' drum', lot_no || '/' || drum_no FROM uses;

-- Exposure reaches up through blends: a hull made with a blend carries the lots in it.
CREATE TEMP TABLE blended AS
WITH RECURSIVE up AS (
    SELECT DISTINCT material, lot_no, coalesce(parent_material, material) AS parent_material, parent_lot_no
    FROM meant_blends
    UNION
    SELECT up.material, up.lot_no, coalesce(b.parent_material, b.material), b.parent_lot_no
    FROM up JOIN meant_blends AS b ON b.material = up.parent_material AND b.lot_no = up.parent_lot_no
)
SELECT * FROM up;

INSERT INTO answers
SELECT DISTINCT u.hull_id, 'material lot', u.part, u.step, b.parent_material || ' lot', b.parent_lot_no
FROM uses AS u
JOIN blended AS b ON b.material = u.material AND b.lot_no = u.lot_no;

INSERT INTO answers
SELECT DISTINCT u.hull_id, 'supplier', u.part, u.step, b.parent_material || ' supplier', s.supplier
FROM uses AS u
JOIN blended AS b ON b.material = u.material AND b.lot_no = u.lot_no
LEFT JOIN supplier_of_lot AS s ON s.material = b.parent_material AND s.lot_no = b.parent_lot_no
WHERE s.supplier IS NOT NULL
    OR NOT EXISTS (
        SELECT 1 FROM blended AS g
        WHERE g.material = b.parent_material AND g.lot_no = b.parent_lot_no
    );

-- The lot's own supplier; a blend mixed in the shop has none, and its parents speak for it.
INSERT INTO answers
SELECT DISTINCT u.hull_id, 'supplier', u.part, u.step, u.material || ' supplier', s.supplier
FROM uses AS u
LEFT JOIN supplier_of_lot AS s ON s.material = u.material AND s.lot_no = u.lot_no
WHERE s.supplier IS NOT NULL
    OR u.lot_no IS NULL
    OR NOT EXISTS (SELECT 1 FROM blended AS b WHERE b.material = u.material AND b.lot_no = u.lot_no);

-- Where a material only arrives through blends of another, a hull whose lot was written
-- down and holds none of it is known to carry none (empty level); one whose lot was not
-- written down is not known.
CREATE TEMP TABLE carried AS
SELECT
    o.part, o.step, u.material, b.parent_material,
    bool_or(o.hull_id NOT IN (SELECT hull_id FROM hulls_in_question)) AS by_others
FROM blended AS b
JOIN meant_usages AS u ON u.material = b.material AND u.lot_no = b.lot_no
JOIN operation_index AS o USING (operation_id)
WHERE b.parent_material <> b.material AND o.hull_id IS NOT NULL AND o.part IS NOT NULL
GROUP BY ALL;

INSERT INTO answers
SELECT DISTINCT u.hull_id, 'material lot', u.part, u.step, c.parent_material || ' lot',
    CASE WHEN u.lot_no IS NULL THEN NULL ELSE '' END
FROM uses AS u
JOIN carried AS c ON c.part = u.part AND c.step = u.step AND c.material = u.material
WHERE u.lot_no IS NULL
    OR NOT EXISTS (
        SELECT 1 FROM blended AS b
        WHERE b.material = u.material AND b.lot_no = u.lot_no AND b.parent_material = c.parent_material
    );

INSERT INTO measured
SELECT u.hull_id, 'timing', u.part, u.step, u.material || ' lot age', 'd', date_diff('day', m.made_on, u.used_on)
FROM uses AS u
LEFT JOIN made_on_of_lot AS m ON m.material = u.material AND m.lot_no = u.lot_no;

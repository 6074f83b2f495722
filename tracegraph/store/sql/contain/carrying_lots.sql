-- Lots that are what is asked about, or hold some of it through blends: one lot, one drum's
-- lot, or all lots of one supplier. A lot that two suppliers delivered belongs to neither.
CREATE OR REPLACE TEMP TABLE carrying_lots AS
WITH RECURSIVE down AS (
    SELECT CAST($material AS VARCHAR) AS material, CAST($lot_no AS VARCHAR) AS lot_no
    WHERE $lot_no IS NOT NULL
    UNION
    SELECT material, lot_no
    FROM lots
    WHERE material = $material AND supplier IS NOT NULL
    GROUP BY material, lot_no
    HAVING count(DISTINCT supplier) = 1 AND min(supplier) = $supplier
    UNION
    SELECT b.material, b.lot_no
    FROM down AS d
    JOIN blends AS b ON coalesce(b.parent_material, b.material) = d.material AND b.parent_lot_no = d.lot_no
)
SELECT DISTINCT material, lot_no FROM down;

-- Materials that are the one asked about, or are mixed from it.
CREATE OR REPLACE TEMP TABLE carrying_materials AS
WITH RECURSIVE down AS (
    SELECT CAST($material AS VARCHAR) AS material
    UNION
    SELECT b.material FROM down AS d JOIN blends AS b ON coalesce(b.parent_material, b.material) = d.material
)
SELECT DISTINCT material FROM down;

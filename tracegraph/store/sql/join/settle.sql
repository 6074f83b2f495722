-- The name of each lot of each plant. Lots of one material and number are one lot where every
-- plant concerned names the same supplier; a number that several plants use otherwise is told
-- apart by plant, and what a plant mixed itself is its own.
CREATE TEMP TABLE lot_names AS
WITH alike AS (
    SELECT
        *,
        count(*) OVER (PARTITION BY material, lot_no) AS plants,
        supplier IS NOT NULL AND NOT mixed
            AND count(*) FILTER (WHERE NOT mixed) OVER (PARTITION BY material, lot_no, lower(supplier)) > 1 AS shared
    FROM plant_lots
),
suppliers AS (
    SELECT material, lot_no, count(DISTINCT lower(supplier)) AS sharing
    FROM alike WHERE shared GROUP BY material, lot_no
)
SELECT
    a.plant, a.material, a.lot_no, a.shared,
    CASE
        WHEN a.shared AND s.sharing = 1 THEN a.lot_no
        WHEN a.shared THEN concat(a.lot_no, ' (', min(a.supplier) OVER (PARTITION BY a.material, a.lot_no, lower(a.supplier)), ')')
        WHEN a.mixed OR a.plants > 1 THEN own(a.plant, a.lot_no)
        ELSE a.lot_no
    END AS name,
    a.plants > 1 AND NOT a.shared AND a.supplier IS NULL AND NOT a.mixed AS unsure
FROM alike AS a
LEFT JOIN suppliers AS s ON s.material = a.material AND s.lot_no = a.lot_no;

-- Claim lines that are left to another plant: they reach no hull here, and the same line stands
-- there and reaches one, or stands in an earlier plant.
CREATE TEMP TABLE left_claims AS
SELECT DISTINCT c.place, c.source_id, c.source_row
FROM plant_claims AS c
JOIN plant_claims AS o
    ON o.place <> c.place AND o.claim_no = c.claim_no AND o.line_no = c.line_no
    AND o.opened_on = c.opened_on AND o.symptom = c.symptom AND o.written = c.written
WHERE NOT c.reached AND (o.reached OR o.place < c.place);

-- Lot numbers that more than one supplier gave to the same material or component.
CREATE OR REPLACE TEMP TABLE shared_numbers AS
SELECT material, lot_no
FROM (
    SELECT material, lot_no, supplier FROM lots
    UNION ALL
    SELECT component, lot_no, supplier FROM components
)
WHERE lot_no IS NOT NULL AND supplier IS NOT NULL
GROUP BY material, lot_no
HAVING count(DISTINCT supplier) > 1;

SELECT count(*) FROM shared_numbers;

-- Lot numbers that two suppliers gave to the same material.
INSERT INTO remarks
SELECT NULL, 'lots', 'one lot, two suppliers', count(*),
    concat(count(*), ' lot numbers came from more than one supplier, such as ', min(lot_no), ': a use that names none of them is undecided')
FROM (
    SELECT material, lot_no FROM lots GROUP BY material, lot_no HAVING count(DISTINCT supplier) > 1
)
HAVING count(*) > 0;

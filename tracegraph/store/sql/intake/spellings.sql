-- Spellings of one identity that differ in case only, with the one that is kept: the one
-- that a defining table uses, else the most frequent, else the first. Spellings that are
-- said to be apart, and lots of different suppliers, are left as they are.
CREATE OR REPLACE TEMP TABLE respelled AS
WITH uses AS (
    SELECT spelling, lower(spelling) AS folded, sum(uses) AS uses, bool_or(defines) AS defines
    FROM ({{uses}})
    GROUP BY ALL
),
kept_apart AS (
    SELECT lower(unnest($apart)) AS folded
    UNION ALL
    SELECT lower(lot_no)
    FROM lots
    WHERE $lots
    GROUP BY lower(lot_no)
    HAVING count(DISTINCT lot_no) > 1 AND count(DISTINCT lower(supplier)) > 1
),
ranked AS (
    SELECT
        *,
        first_value(spelling) OVER (PARTITION BY folded ORDER BY defines DESC, uses DESC, spelling) AS kept
    FROM uses
)
SELECT spelling, kept
FROM ranked
WHERE spelling <> kept AND folded NOT IN (SELECT folded FROM kept_apart);

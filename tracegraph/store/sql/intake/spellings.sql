-- Spellings of one identity that differ in case only, with the one that is kept.
CREATE OR REPLACE TEMP TABLE respelled AS
WITH uses AS (
    SELECT spelling, lower(spelling) AS folded, sum(uses) AS uses, bool_or(defines) AS defines
    FROM ({{uses}})
    GROUP BY ALL
),
ranked AS (
    SELECT
        *,
        first_value(spelling) OVER (PARTITION BY folded ORDER BY defines DESC, uses DESC, spelling) AS kept,
        count_if(defines) OVER (PARTITION BY folded) AS defined
    FROM uses
)
SELECT spelling, kept
FROM ranked
WHERE spelling <> kept AND defined <= 1;

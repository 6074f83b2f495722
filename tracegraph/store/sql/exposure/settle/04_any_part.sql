-- The same question over all parts and steps, where more than one part or step asks it.
INSERT INTO answers
WITH shared AS (
    SELECT kind, thing
    FROM asked
    WHERE kind IN ('material lot', 'drum', 'supplier') AND part <> 'any part'
        AND NOT (kind = 'supplier' AND thing = 'supplier')
    GROUP BY kind, thing
    HAVING count(*) > 1
)
SELECT DISTINCT a.hull_id, a.kind, 'any part', '', a.thing, a.level
FROM answers AS a
JOIN shared USING (kind, thing);

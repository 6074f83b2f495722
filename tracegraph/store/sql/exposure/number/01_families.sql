-- Numbers for families, in the order in which they are shown. A family without a single
-- answer written down asks nothing and is left out.
INSERT INTO families
SELECT
    CAST(row_number() OVER (ORDER BY coalesce(k.place, 99), stage, part, family) AS INTEGER),
    family, kind, part, step, stage, unit
FROM (
    SELECT
        family,
        min(kind) AS kind,
        min(part) AS part,
        min(step) AS step,
        min(stage) AS stage,
        min(unit) AS unit
    FROM described
    GROUP BY family
    HAVING count(nullif(level, '')) > 0
) AS f
LEFT JOIN kind_order AS k USING (kind);

INSERT INTO levels
SELECT
    CAST(row_number() OVER (ORDER BY family_id, coalesce(low, CAST('-infinity' AS DOUBLE)), level) AS INTEGER),
    family_id, level, low, high
FROM (
    SELECT f.family_id, d.level, min(d.low) AS low, min(d.high) AS high
    FROM described AS d JOIN families AS f USING (family)
    WHERE d.level <> ''
    GROUP BY f.family_id, d.level
);

-- Lots and claims that one plant speaks of, before any is taken over.
INSERT INTO plant_lots
SELECT $plant, material, lot_no, CASE WHEN count(DISTINCT lower(supplier)) = 1 THEN min(supplier) END, bool_or(mixed)
FROM (
    SELECT material, lot_no, supplier, false AS mixed FROM member.lots
    UNION ALL
    SELECT u.material, coalesce(split_part(m.meant, '|', 2), u.lot_no), NULL, false
    FROM member.usages AS u
    LEFT JOIN member.meanings AS m ON m.link = 'use to lot' AND m.written = concat(u.material, '|', u.lot_no)
    UNION ALL
    SELECT material, lot_no, NULL, true FROM member.blends
    UNION ALL
    SELECT coalesce(parent_material, material), parent_lot_no, NULL, false FROM member.blends
    UNION ALL
    SELECT component, lot_no, supplier, false FROM member.components
)
WHERE lot_no IS NOT NULL
GROUP BY material, lot_no;

-- Claim lines are numbered as in the plant's own store.
INSERT INTO plant_claims
SELECT $place, c.source_id, c.source_row, c.claim_no, coalesce(c.line_no, ''), c.opened_on, c.symptom, c.hull_serial, i.hull_id IS NOT NULL
FROM (
    SELECT *, row_number() OVER (ORDER BY claim_no, line_no, source_id, source_row) AS claim_id
    FROM member.claims
) AS c
JOIN member.claim_index AS i USING (claim_id);

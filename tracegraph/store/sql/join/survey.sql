-- Lots and claims that one plant speaks of, before any is taken over.
-- A number that several suppliers gave the plant names no lot without them: it stays its own.
INSERT INTO plant_lots
WITH undecided AS (
    SELECT l.material, c.raw AS lot_no
    FROM member.cleaned_values AS c
    JOIN member.lots AS l ON l.source_id = c.source_id AND l.source_row = c.source_row AND l.lot_no = c.value
    WHERE c.rule = 'one number of two suppliers' AND c.table_name = 'lots'
    UNION ALL
    SELECT p.component, c.raw
    FROM member.cleaned_values AS c
    JOIN member.components AS p ON p.source_id = c.source_id AND p.source_row = c.source_row AND p.lot_no = c.value
    WHERE c.rule = 'one number of two suppliers' AND c.table_name = 'components'
)
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
    UNION ALL
    SELECT material, lot_no, NULL, true FROM undecided
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

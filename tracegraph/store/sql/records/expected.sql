-- One row per hull and question that is answered by a written record, with whether the
-- record is complete. Questions derived from others (weeks, ages, roll-ups over parts) are
-- left out, so that one missing record counts once.
CREATE OR REPLACE TEMP VIEW expected_records AS
SELECT e.hull_id, f.family, f.kind, f.part, f.step, e.complete
FROM exposure AS e
JOIN families AS f USING (family_id)
WHERE e.first_row
    AND f.part <> 'any part'
    AND f.kind IN ('material lot', 'mold', 'equipment', 'component lot', 'process reading', 'ambient condition')
    AND NOT regexp_matches(f.family, ' (minimum|maximum)$')
    AND NOT ends_with(f.family, 'dew_point_margin');

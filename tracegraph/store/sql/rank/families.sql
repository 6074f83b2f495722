-- Families by number, with what they are about.
SELECT family_id, family, kind, part, step, stage FROM families ORDER BY family_id;

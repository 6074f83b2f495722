-- All questions, in the order of display.
SELECT family_id, family, kind, part, step FROM families ORDER BY family_id;

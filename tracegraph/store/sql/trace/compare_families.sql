-- All questions with their place in the order of display.
SELECT family_id, family, kind, part, step, stage
FROM families
WHERE $people OR kind <> $people_kind
ORDER BY family_id;

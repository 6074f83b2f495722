-- The question asked, or, where it is asked of any part, the questions it rolls up.
SELECT f.family_id, f.family, f.kind, f.part, f.step
FROM families AS f
JOIN families AS asked ON asked.family_id = $family_id
WHERE f.family_id = asked.family_id
    OR (asked.part = 'any part' AND f.part <> 'any part' AND f.kind = asked.kind
        AND right(f.family, length(asked.family) - length('any part')) = right(asked.family, length(asked.family) - length('any part')))
ORDER BY f.family_id;

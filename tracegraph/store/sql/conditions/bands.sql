-- Bands of one family, lowest first. An edge that is null is open.
SELECT level_id, level, low, high
FROM levels
WHERE family_id = $family_id
ORDER BY low NULLS FIRST, level;

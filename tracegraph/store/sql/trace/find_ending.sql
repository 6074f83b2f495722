-- Hulls whose serial or identification number ends with the given letters and digits.
SELECT DISTINCT 'hull' AS kind, hull_serial AS key, false AS exact
FROM hull_index
WHERE $kind IN ('', 'hull')
    AND (
        ends_with(regexp_replace(upper(hull_serial), '[^\p{L}\p{N}]', '', 'g'), $letters)
        OR ends_with(hin_key, $letters)
    )
ORDER BY key;

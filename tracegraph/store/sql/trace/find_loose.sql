-- What a typed number names when only its letters and digits count, or when it is the
-- number of a drum without its lot. Operations, by far the most, are asked for as written.
SELECT DISTINCT kind, key, false AS exact
FROM (
    SELECT kind, key
    FROM nodes
    WHERE kind <> 'operation' AND regexp_replace(upper(key), '[^\p{L}\p{N}]', '', 'g') = $letters
    UNION ALL
    SELECT kind, key
    FROM nodes
    WHERE kind = 'drum' AND upper(key) LIKE '%|%|%' AND upper(split_part(key, '|', -1)) = upper($typed)
)
WHERE kind NOT IN ('operator', 'crew') AND ($kind = '' OR kind = $kind)
ORDER BY kind, key;

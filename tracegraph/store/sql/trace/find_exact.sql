-- What a typed number names, without regard to case: a key; a lot or drum without its
-- material; a claim without its line; a hull by its job or identification number.
SELECT DISTINCT kind, key, exact
FROM (
    SELECT kind, key, key = $typed AS exact
    FROM nodes
    WHERE upper(key) = upper($typed)
    UNION ALL
    SELECT kind, key, replace(substr(key, strpos(key, '|') + 1), '|', '/') = replace($typed, '|', '/')
    FROM nodes
    WHERE kind IN ('lot', 'drum')
        AND upper(replace(substr(key, strpos(key, '|') + 1), '|', '/')) = upper(replace($typed, '|', '/'))
    UNION ALL
    SELECT 'claim', concat_ws('/', claim_no, line_no), claim_no = $typed
    FROM claim_index
    WHERE upper(claim_no) = upper($typed)
    UNION ALL
    SELECT 'hull', hull_serial, job_no = $typed
    FROM hull_index
    WHERE upper(job_no) = upper($typed)
    UNION ALL
    SELECT 'hull', hull_serial, true
    FROM hull_index
    WHERE hin_key = $hin
)
WHERE kind NOT IN ('operator', 'crew') AND ($kind = '' OR kind = $kind)
ORDER BY kind, key;

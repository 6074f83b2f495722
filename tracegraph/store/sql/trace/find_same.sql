-- What a number names when it is typed exactly as recorded: a key; a lot or drum without its
-- material; a claim without its line; a hull by its job number.
SELECT DISTINCT kind, key, true AS exact
FROM (
    SELECT kind, key FROM nodes WHERE key = $typed
    UNION ALL
    SELECT kind, key
    FROM nodes
    WHERE kind IN ('lot', 'drum')
        AND replace(substr(key, strpos(key, '|') + 1), '|', '/') = replace($typed, '|', '/')
    UNION ALL
    SELECT 'claim', concat_ws('/', claim_no, line_no) FROM claim_index WHERE claim_no = $typed
    UNION ALL
    SELECT 'hull', hull_serial FROM hull_index WHERE job_no = $typed
    UNION ALL
    SELECT 'hull', hull_serial FROM hull_index WHERE hin_key = $hin
)
WHERE kind NOT IN ('operator', 'crew') AND ($kind = '' OR kind = $kind)
ORDER BY kind, key;

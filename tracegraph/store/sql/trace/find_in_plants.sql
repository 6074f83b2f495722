-- What a typed number names where plants are joined and it was typed without its plant.
WITH bare AS (
    SELECT n.kind, n.key, replace(n.key, concat(p.plant, ':'), '') AS number
    FROM nodes AS n
    JOIN plants AS p ON contains(n.key, concat(p.plant, ':'))
)
SELECT DISTINCT kind, key, exact
FROM (
    SELECT kind, key, number = $typed AS exact
    FROM bare
    WHERE upper(number) = upper($typed)
    UNION ALL
    SELECT kind, key, replace(substr(number, strpos(number, '|') + 1), '|', '/') = replace($typed, '|', '/')
    FROM bare
    WHERE kind IN ('lot', 'drum')
        AND upper(replace(substr(number, strpos(number, '|') + 1), '|', '/')) = upper(replace($typed, '|', '/'))
    UNION ALL
    SELECT 'claim', concat_ws('/', c.claim_no, c.line_no), true
    FROM claim_index AS c JOIN plants AS p ON upper(c.claim_no) = upper(concat(p.plant, ':', $typed))
    UNION ALL
    SELECT 'hull', h.hull_serial, true
    FROM hull_index AS h JOIN plants AS p ON upper(h.job_no) = upper(concat(p.plant, ':', $typed))
)
WHERE kind NOT IN ('operator', 'crew') AND ($kind = '' OR kind = $kind)
ORDER BY kind, key;

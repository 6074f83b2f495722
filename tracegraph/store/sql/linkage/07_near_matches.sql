-- Numbers that lead nowhere, each with the existing numbers that it may stand for. Nothing
-- is linked by nearness; a person accepts or does not. Pairs are compared only when they
-- share their first or last four characters, their look-alike form, or are short.
CREATE TEMP TABLE stray AS
SELECT 'claim to hull' AS link, c.hull_serial AS written, count(*) AS records
FROM meant_claims AS c
LEFT JOIN hull_by_serial AS s ON s.hull_serial = c.hull_serial
JOIN claim_index AS i ON i.claim_no = c.claim_no AND i.line_no IS NOT DISTINCT FROM c.line_no
WHERE i.hull_id IS NULL AND s.hull_id IS NULL
GROUP BY c.hull_serial
UNION ALL
SELECT 'part to hull', coalesce(p.hull_serial, p.job_no), count(*)
FROM meant_parts AS p
JOIN part_index AS i USING (part_serial)
WHERE i.hull_id IS NULL
GROUP BY coalesce(p.hull_serial, p.job_no)
UNION ALL
SELECT 'operation to part', o.part_serial, count(*)
FROM meant_operations AS o
LEFT JOIN part_by_serial AS p USING (part_serial)
WHERE o.part_serial IS NOT NULL AND p.part_id IS NULL
GROUP BY o.part_serial
UNION ALL
SELECT 'use to lot', concat(u.material, '|', u.lot_no), CAST(sum(u.uses) AS BIGINT)
FROM lots_used AS u
WHERE u.material IN (SELECT material FROM lots)
    AND NOT EXISTS (SELECT 1 FROM lots AS l WHERE l.material = u.material AND l.lot_no = u.lot_no)
    AND NOT EXISTS (SELECT 1 FROM blends AS b WHERE b.material = u.material AND b.lot_no = u.lot_no)
GROUP BY u.material, u.lot_no
ORDER BY link, records DESC, written
LIMIT 20000;

CREATE TEMP TABLE known_numbers AS
SELECT DISTINCT 'claim to hull' AS link, hull_serial AS near FROM hull_by_serial
UNION ALL
SELECT DISTINCT 'claim to hull', hin_key FROM hull_by_hin
UNION ALL
SELECT DISTINCT 'part to hull', hull_serial FROM hull_by_serial
UNION ALL
SELECT DISTINCT 'part to hull', job_no FROM hull_by_job
UNION ALL
SELECT DISTINCT 'operation to part', part_serial FROM part_by_serial
UNION ALL
SELECT DISTINCT 'use to lot', concat(material, '|', lot_no) FROM lots;

INSERT INTO near_matches
WITH left_side AS (
    SELECT
        *,
        upper(regexp_replace(written, '[^A-Za-z0-9]', '', 'g')) AS letters
    FROM stray
),
right_side AS (
    SELECT
        *,
        upper(regexp_replace(near, '[^A-Za-z0-9]', '', 'g')) AS letters
    FROM known_numbers
),
l AS (
    SELECT *, translate(letters, 'OQILSZBG', '00115286') AS look, ltrim(letters, '0') AS bare FROM left_side
),
r AS (
    SELECT *, translate(letters, 'OQILSZBG', '00115286') AS look, ltrim(letters, '0') AS bare FROM right_side
),
pairs AS (
    SELECT l.link, l.written, l.records, r.near, 1 AS place, 'look-alike letters and digits' AS reason
    FROM l JOIN r ON r.link = l.link AND r.look = l.look
    WHERE l.written <> r.near
    UNION ALL
    SELECT l.link, l.written, l.records, r.near, 2, 'zeros in front'
    FROM l JOIN r ON r.link = l.link AND r.bare = l.bare
    WHERE l.letters <> r.letters
    UNION ALL
    SELECT l.link, l.written, l.records, r.near, 3, 'the last characters of it'
    FROM l JOIN r ON r.link = l.link AND right(r.letters, length(l.letters)) = l.letters
    WHERE length(l.letters) BETWEEN 4 AND length(r.letters) - 1
    UNION ALL
    SELECT l.link, l.written, l.records, r.near, 4, 'one character differs'
    FROM l JOIN r ON r.link = l.link AND left(r.letters, 4) = left(l.letters, 4)
    WHERE abs(length(l.letters) - length(r.letters)) <= 1
        AND damerau_levenshtein(l.letters, r.letters) = 1
    UNION ALL
    SELECT l.link, l.written, l.records, r.near, 4, 'one character differs'
    FROM l JOIN r ON r.link = l.link AND right(r.letters, 4) = right(l.letters, 4)
    WHERE abs(length(l.letters) - length(r.letters)) <= 1
        AND damerau_levenshtein(l.letters, r.letters) = 1
),
best AS (
    SELECT link, written, near, arg_min(reason, place) AS reason, min(place) AS place, any_value(records) AS records
    FROM pairs
    GROUP BY link, written, near
),
ranked AS (
    SELECT *, row_number() OVER (PARTITION BY link, written ORDER BY place, near) AS nth FROM best
)
SELECT link, written, near, reason, CAST(nth AS INTEGER), records
FROM ranked
WHERE nth <= 5
ORDER BY link, records DESC, written, nth;

DROP TABLE stray;
DROP TABLE known_numbers;

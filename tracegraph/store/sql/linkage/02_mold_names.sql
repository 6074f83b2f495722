-- Present number of each mold: follow renamings, old number to new, until the last. A number
-- that two molds were given, or one that became two, is not followed: those molds stay apart.
-- A number that was given to a new mold after its renaming means the old one until that day;
-- so does one that was commissioned anew, with its pulls counted from the start again. Of more
-- than two molds under one number only the last is told from the others, whose parts have none.
CREATE TEMP TABLE mold_names AS
WITH RECURSIVE written AS (
    SELECT mold_no AS old, trim(note) AS new, min("at") AS renamed_at
    FROM mold_events
    WHERE event = 'renamed' AND trim(note) <> '' AND trim(note) <> mold_no
    GROUP BY ALL
),
renamed AS (
    SELECT old, new, renamed_at FROM written
    QUALIFY count(*) OVER (PARTITION BY new) = 1 AND count(*) OVER (PARTITION BY old) = 1
),
walk AS (
    SELECT old, new FROM renamed
    UNION
    SELECT walk.old, renamed.new FROM walk JOIN renamed ON renamed.old = walk.new
),
commissioned AS (
    SELECT mold_no, "at" FROM mold_events
    WHERE event = 'commissioned' AND coalesce(pull_no, 0) <= 1 AND mold_no NOT IN (SELECT old FROM renamed)
    QUALIFY row_number() OVER (PARTITION BY mold_no, CAST("at" AS DATE) ORDER BY "at") = 1
)
SELECT
    walk.old,
    min(walk.new) AS present,
    (
        SELECT min(e."at") FROM mold_events AS e JOIN renamed AS r ON r.old = e.mold_no
        WHERE e.mold_no = walk.old AND e.event = 'commissioned' AND e."at" >= r.renamed_at
    ) AS given_again_at
FROM walk
WHERE walk.new NOT IN (SELECT old FROM renamed)
GROUP BY walk.old
UNION ALL
SELECT
    mold_no,
    CASE WHEN count(*) = 2 THEN concat(mold_no, ' (until ', CAST(max("at") AS DATE), ')') END,
    max("at")
FROM commissioned
GROUP BY mold_no
HAVING count(*) > 1;

-- Present number of each mold: follow renamings, old number to new, until the last.
CREATE TEMP TABLE mold_names AS
WITH RECURSIVE renamed AS (
    SELECT DISTINCT mold_no AS old, trim(note) AS new
    FROM mold_events
    WHERE event = 'renamed' AND trim(note) <> '' AND trim(note) <> mold_no
),
walk AS (
    SELECT old, new FROM renamed
    UNION
    SELECT walk.old, renamed.new FROM walk JOIN renamed ON renamed.old = walk.new
)
SELECT old, min(new) AS present
FROM walk
WHERE new NOT IN (SELECT old FROM renamed)
GROUP BY old;

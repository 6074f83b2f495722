-- Names that look like a typed one: first those that differ only by letters often taken
-- for digits, then those with the fewest letters changed.
WITH names AS (
    SELECT hull_serial AS name FROM hull_index
    UNION
    SELECT hin FROM hull_index WHERE hin IS NOT NULL
    UNION
    SELECT claim_no FROM claim_index
    UNION
    SELECT key FROM nodes WHERE kind IN ('part', 'mold', 'lot')
    UNION
    SELECT substr(key, strpos(key, '|') + 1) FROM nodes WHERE kind = 'lot'
),
compared AS (
    SELECT
        name,
        translate(upper(name), 'OQIBSZ', '001852') = translate(upper($typed), 'OQIBSZ', '001852') AS look_alike,
        damerau_levenshtein(upper(name), upper($typed)) AS changes
    FROM names
    WHERE abs(length(name) - length($typed)) <= 2
)
SELECT name, look_alike
FROM compared
WHERE look_alike OR changes * 2 <= length(name)
ORDER BY look_alike DESC, changes, name
LIMIT 20;

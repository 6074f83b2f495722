-- Rows that were set aside, exported, mended and loaded again leave the list; their first
-- line counts as told by the mended one.
CREATE OR REPLACE TEMP TABLE mended AS
SELECT s.source_id, a.source_row, count(*) AS entries
FROM (SELECT DISTINCT trim({{token}}) AS token FROM page) AS t
JOIN sources AS s
    ON starts_with(t.token, concat(left(s.sha256, 12), '/'))
    AND coalesce(s.sheet, '') = substr(t.token, 14 + strpos(substr(t.token, 14), '/'))
JOIN set_aside AS a
    ON a.source_id = s.source_id
    AND a.source_row = TRY_CAST(split_part(t.token, '/', 2) AS BIGINT)
WHERE s.source_id <> $source_id
GROUP BY ALL;

DELETE FROM set_aside
WHERE EXISTS (
    SELECT 1 FROM mended AS m
    WHERE m.source_id = set_aside.source_id AND m.source_row = set_aside.source_row
);

UPDATE sources
SET set_aside = set_aside - m.lines, repeats = repeats + m.lines
FROM (SELECT source_id, count(*) AS lines FROM mended GROUP BY source_id) AS m
WHERE m.source_id = sources.source_id;

DROP TABLE mended;

-- Rows of the page, whole, for those that turned out to contradict others.
UPDATE set_aside
SET raw = CAST(to_json(map($headers, [{{texts}}])) AS VARCHAR)
FROM page AS p
WHERE set_aside.source_id = $source_id
    AND set_aside.source_row = {{row}}
    AND starts_with(set_aside.reason, 'contradicts ');

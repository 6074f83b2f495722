-- Hulls that a thing of the genealogy belongs to, latest built first.
SELECT DISTINCT h.hull_id, h.hull_serial, h.job_no, h.hin_key, h.built_on
FROM hull_index AS h
LEFT JOIN claim_index AS c ON $kind = 'claim' AND c.hull_id = h.hull_id
LEFT JOIN part_index AS p ON $kind = 'part' AND p.hull_id = h.hull_id
LEFT JOIN operation_index AS o ON $kind = 'operation' AND o.hull_id = h.hull_id
LEFT JOIN component_index AS m ON $kind = 'component' AND m.hull_id = h.hull_id
WHERE CASE $kind
    WHEN 'hull' THEN h.hull_serial = $key
    WHEN 'claim' THEN concat_ws('/', c.claim_no, c.line_no) = $key
    WHEN 'part' THEN p.part_serial = $key
    WHEN 'operation' THEN o.operation_id = $key
    WHEN 'component' THEN coalesce(m.serial_no, concat('no serial, ', m.component_id)) = $key
    ELSE false
END
ORDER BY h.built_on DESC NULLS LAST, h.hull_id DESC;

-- Every attempt at every check of the hull and its parts.
SELECT
    i.inspection_id, CASE WHEN i.part_serial IS NULL THEN 'assembly' ELSE x.part END AS lane, i.checkpoint,
    timezone($time_zone, timezone('UTC', i."at")) AS "at",
    i.inspector, i.result, i.value, i.unit, i.defect, i.zone, i.attempt, i.note, i.photo
FROM inspections AS i
JOIN inspection_index AS x USING (inspection_id)
WHERE x.hull_id = $hull_id
ORDER BY i."at", i.attempt, i.inspection_id;

-- Components without a serial, under the numbers of this build.
UPDATE nodes SET key = moved.key
FROM (
    SELECT concat('no serial, ', own_id) AS key_before, concat('no serial, ', component_id) AS key
    FROM was_component_numbers
    WHERE own_id <> component_id
) AS moved
WHERE nodes.kind = 'component' AND nodes.key = moved.key_before;

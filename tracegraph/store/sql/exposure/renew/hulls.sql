-- Hulls that both builds know by one serial, of the same plant and model, with both of their numbers.
CREATE TEMP TABLE hull_map AS
WITH was AS (
    SELECT hull_serial, any_value(hull_id) AS hull_id, any_value(model) AS model,
        coalesce(any_value(plant), '') AS plant
    FROM earlier.hull_index GROUP BY hull_serial HAVING count(*) = 1
),
now AS (
    SELECT hull_serial, any_value(hull_id) AS hull_id, any_value(model) AS model,
        coalesce(any_value(plant), '') AS plant
    FROM hull_index GROUP BY hull_serial HAVING count(*) = 1
)
SELECT was.hull_id AS earlier_id, now.hull_id
FROM was JOIN now USING (hull_serial, plant, model);

-- Links and facts that changed, with the hull that they are or were about.
CREATE TEMP TABLE changed_parts AS
WITH now AS (
    SELECT hull_id, part_serial, part, mold_no, pull_no, pulled_at FROM part_index
),
was AS (
    SELECT m.hull_id, p.part_serial, p.part, p.mold_no, p.pull_no, p.pulled_at
    FROM earlier.part_index AS p LEFT JOIN hull_map AS m ON m.earlier_id = p.hull_id
)
(FROM now EXCEPT FROM was) UNION (FROM was EXCEPT FROM now);

CREATE TEMP TABLE touched AS
SELECT hull_id FROM changed_parts
UNION
SELECT hull_id FROM hull_index WHERE hull_id NOT IN (SELECT hull_id FROM hull_map);

-- Operations are the most by far: each is compared with that of its number. Where several bear
-- one number, all their hulls count as touched.
INSERT INTO touched
WITH now AS (
    SELECT o.hull_id, o.operation_id, {
        'hull': o.hull_id, 'part_serial': p.part_serial, 'part': o.part, 'step': o.step, 'station': o.station,
        'equipment': o.equipment, 'operator': o.operator, 'crew': o.crew, 'shift': o.shift,
        'started_at': o.started_at, 'finished_at': o.finished_at, 'attempt': o.attempt
    } AS told
    FROM operation_index AS o LEFT JOIN part_index AS p USING (part_id)
    WHERE o.hull_id IS NOT NULL
),
was AS (
    SELECT m.hull_id, o.operation_id, {
        'hull': m.hull_id, 'part_serial': p.part_serial, 'part': o.part, 'step': o.step, 'station': o.station,
        'equipment': o.equipment, 'operator': o.operator, 'crew': o.crew, 'shift': o.shift,
        'started_at': o.started_at, 'finished_at': o.finished_at, 'attempt': o.attempt
    } AS told
    FROM earlier.operation_index AS o
    JOIN hull_map AS m ON m.earlier_id = o.hull_id
    LEFT JOIN earlier.part_index AS p USING (part_id)
)
SELECT unnest([now.hull_id, was.hull_id])
FROM now FULL JOIN was ON was.operation_id = now.operation_id
WHERE now.told IS DISTINCT FROM was.told;

INSERT INTO touched
WITH now AS (
    SELECT hull_id, component, lot_no, supplier, fitted_by, fitted_at FROM component_index
    WHERE hull_id IS NOT NULL
),
was AS (
    SELECT m.hull_id, c.component, c.lot_no, c.supplier, c.fitted_by, c.fitted_at
    FROM earlier.component_index AS c JOIN hull_map AS m ON m.earlier_id = c.hull_id
)
SELECT hull_id FROM (FROM now EXCEPT FROM was)
UNION
SELECT hull_id FROM (FROM was EXCEPT FROM now);

INSERT INTO touched
WITH now AS (
    SELECT x.hull_id, x.part, i.* EXCLUDE (source_id, source_row, photo, note)
    FROM inspections AS i JOIN inspection_index AS x USING (inspection_id)
    WHERE x.hull_id IS NOT NULL
),
was AS (
    SELECT m.hull_id, x.part, i.* EXCLUDE (source_id, source_row, photo, note)
    FROM earlier.inspections AS i
    JOIN earlier.inspection_index AS x USING (inspection_id)
    JOIN hull_map AS m ON m.earlier_id = x.hull_id
)
SELECT hull_id FROM (FROM now EXCEPT FROM was)
UNION
SELECT hull_id FROM (FROM was EXCEPT FROM now);

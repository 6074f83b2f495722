-- The records of one plant, every number of its own behind the plant's name. Models, parts,
-- steps, materials, suppliers, dealers and symptoms are words that plants share; hull
-- identification numbers are unique everywhere.
CREATE OR REPLACE TEMP TABLE own_lots AS
SELECT material, lot_no, name, shared FROM lot_names WHERE plant = $plant;

INSERT INTO hulls
SELECT * REPLACE (
    own($plant, hull_serial) AS hull_serial,
    own($plant, job_no) AS job_no,
    coalesce(plant, $plant) AS plant,
    source_id + $shift AS source_id
)
FROM member.hulls;

INSERT INTO parts
SELECT p.* REPLACE (
    own($plant, p.part_serial) AS part_serial,
    own($plant, coalesce(s.meant, p.hull_serial)) AS hull_serial,
    own($plant, coalesce(j.meant, p.job_no)) AS job_no,
    own($plant, p.mold_no) AS mold_no,
    on_clock($zone, p.pulled_at) AS pulled_at,
    p.source_id + $shift AS source_id
)
FROM member.parts AS p
LEFT JOIN member.meanings AS s ON s.link = 'part to hull' AND s.written = p.hull_serial
LEFT JOIN member.meanings AS j ON j.link = 'part to hull' AND j.written = p.job_no;

INSERT INTO operations
SELECT o.* REPLACE (
    own($plant, o.operation_id) AS operation_id,
    own($plant, coalesce(m.meant, o.part_serial)) AS part_serial,
    own($plant, o.hull_serial) AS hull_serial,
    own($plant, o.job_no) AS job_no,
    own($plant, o.station) AS station,
    own($plant, o.equipment) AS equipment,
    own($plant, o.operator) AS operator,
    own($plant, o.crew) AS crew,
    on_clock($zone, o.started_at) AS started_at,
    on_clock($zone, o.finished_at) AS finished_at,
    o.source_id + $shift AS source_id
)
FROM member.operations AS o
LEFT JOIN member.meanings AS m ON m.link = 'operation to part' AND m.written = o.part_serial;

INSERT INTO usages
SELECT u.* REPLACE (
    own($plant, u.operation_id) AS operation_id,
    n.name AS lot_no,
    CASE WHEN n.shared THEN own($plant, u.drum_no) ELSE u.drum_no END AS drum_no,
    u.source_id + $shift AS source_id
)
FROM member.usages AS u
LEFT JOIN member.meanings AS m ON m.link = 'use to lot' AND m.written = concat(u.material, '|', u.lot_no)
LEFT JOIN own_lots AS n ON n.material = u.material AND n.lot_no = coalesce(split_part(m.meant, '|', 2), u.lot_no);

INSERT INTO readings
SELECT * REPLACE (own($plant, operation_id) AS operation_id, source_id + $shift AS source_id) FROM member.readings;

INSERT INTO ambient
SELECT * REPLACE (
    own($plant, station) AS station, on_clock($zone, "at") AS "at", source_id + $shift AS source_id
)
FROM member.ambient;

INSERT INTO lots
SELECT l.* REPLACE (n.name AS lot_no, l.source_id + $shift AS source_id)
FROM member.lots AS l JOIN own_lots AS n ON n.material = l.material AND n.lot_no = l.lot_no;

INSERT INTO blends
SELECT b.* REPLACE (n.name AS lot_no, p.name AS parent_lot_no, b.source_id + $shift AS source_id)
FROM member.blends AS b
JOIN own_lots AS n ON n.material = b.material AND n.lot_no = b.lot_no
JOIN own_lots AS p ON p.material = coalesce(b.parent_material, b.material) AND p.lot_no = b.parent_lot_no;

INSERT INTO mold_events
SELECT * REPLACE (
    own($plant, mold_no) AS mold_no,
    on_clock($zone, "at") AS "at",
    CASE WHEN event = 'renamed' AND trim(note) <> '' THEN own($plant, trim(note)) ELSE note END AS note,
    source_id + $shift AS source_id
)
FROM member.mold_events;

INSERT INTO components
SELECT c.* REPLACE (
    own($plant, c.hull_serial) AS hull_serial,
    own($plant, c.job_no) AS job_no,
    own($plant, c.serial_no) AS serial_no,
    n.name AS lot_no,
    on_clock($zone, c.fitted_at) AS fitted_at,
    own($plant, c.fitted_by) AS fitted_by,
    c.source_id + $shift AS source_id
)
FROM member.components AS c
LEFT JOIN own_lots AS n ON n.material = c.component AND n.lot_no = c.lot_no;

INSERT INTO inspections
SELECT * REPLACE (
    own($plant, inspection_id) AS inspection_id,
    own($plant, part_serial) AS part_serial,
    own($plant, hull_serial) AS hull_serial,
    own($plant, job_no) AS job_no,
    own($plant, inspector) AS inspector,
    on_clock($zone, "at") AS "at",
    source_id + $shift AS source_id
)
FROM member.inspections;

-- A claim that names no hull of its plant may name one of another by its identification number.
INSERT INTO claims
SELECT c.* EXCLUDE (meant, letters) REPLACE (
    own($plant, c.claim_no) AS claim_no,
    CASE
        WHEN c.meant NOT IN (SELECT hull_serial FROM member.hulls) AND regexp_matches(c.letters, '^([A-Z]{2})?[A-Z0-9]{12}$')
            THEN c.meant
        ELSE own($plant, c.meant)
    END AS hull_serial,
    own($plant, c.repeat_of) AS repeat_of,
    c.source_id + $shift AS source_id
)
FROM (
    SELECT
        k.*,
        coalesce(m.meant, k.hull_serial) AS meant,
        regexp_replace(upper(coalesce(m.meant, k.hull_serial)), '[^A-Z0-9]', '', 'g') AS letters
    FROM member.claims AS k
    LEFT JOIN member.meanings AS m ON m.link = 'claim to hull' AND m.written = k.hull_serial
) AS c
ANTI JOIN left_claims AS l ON l.place = $place AND l.source_id = c.source_id AND l.source_row = c.source_row;

-- The books of its loads, so that every record leads to its file and line.
INSERT INTO sources
SELECT * REPLACE (source_id + $shift AS source_id, own($plant, name) AS name) FROM member.sources;

INSERT INTO set_aside SELECT * REPLACE (source_id + $shift AS source_id) FROM member.set_aside;

INSERT INTO cleaned_values
SELECT c.* REPLACE (
    c.source_id + $shift AS source_id,
    CASE WHEN c.rule = 'one number of two suppliers' THEN own($plant, c.raw) ELSE c.raw END AS raw,
    coalesce(n.name, c.value) AS value
)
FROM member.cleaned_values AS c
LEFT JOIN (
    SELECT 'lots' AS table_name, source_id, source_row, material, lot_no FROM member.lots
    UNION ALL
    SELECT 'components', source_id, source_row, component, lot_no FROM member.components
) AS t
    ON c.rule = 'one number of two suppliers' AND t.table_name = c.table_name
    AND t.source_id = c.source_id AND t.source_row = c.source_row AND t.lot_no = c.value
LEFT JOIN own_lots AS n ON n.material = t.material AND n.lot_no = t.lot_no;

INSERT INTO history SELECT * REPLACE (source_id + $shift AS source_id) FROM member.history;

INSERT INTO stamps SELECT * REPLACE (source_id + $shift AS source_id) FROM member.stamps;

INSERT INTO remarks
SELECT * REPLACE (source_id + $shift AS source_id, concat($plant, ': ', text) AS text) FROM member.remarks;

INSERT INTO near_matches
SELECT * REPLACE (own($plant, written) AS written, own($plant, near) AS near) FROM member.near_matches;

INSERT INTO plants
SELECT $plant, $store, $version, $clock, (SELECT count(*) FROM member.hulls), (SELECT count(*) FROM member.claim_index WHERE hull_id IS NOT NULL),
    (SELECT max(opened_on) FROM member.claims);

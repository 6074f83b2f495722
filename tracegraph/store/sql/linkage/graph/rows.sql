-- What the graph is laid of, each a {{kind}} under the names {{rows}}_...: each record with all that it names,
-- links by the names of both ends. {{of}} stands before the tables that are read.
CREATE TEMP {{kind}} {{rows}}_claims AS
SELECT concat_ws('/', c.claim_no, c.line_no) AS key, c.symptom, h.hull_serial
FROM {{of}}claim_index AS c LEFT JOIN {{of}}hull_index AS h USING (hull_id);

CREATE TEMP {{kind}} {{rows}}_hulls AS
SELECT hull_serial, model FROM {{of}}hull_index;

CREATE TEMP {{kind}} {{rows}}_parts AS
SELECT p.part_serial, p.part, p.mold_no, h.hull_serial
FROM {{of}}part_index AS p LEFT JOIN {{of}}hull_index AS h USING (hull_id);

CREATE TEMP {{kind}} {{rows}}_operations AS
SELECT
    o.operation_id, o.step, o.station, o.equipment, o.operator, o.crew,
    p.part_serial,
    CASE WHEN o.part_id IS NULL THEN h.hull_serial END AS hull_serial
FROM {{of}}operation_index AS o
LEFT JOIN {{of}}part_index AS p USING (part_id)
LEFT JOIN {{of}}hull_index AS h ON h.hull_id = o.hull_id;

CREATE TEMP {{kind}} {{rows}}_lots AS
SELECT material, lot_no, supplier FROM {{of}}lots;

CREATE TEMP {{kind}} {{rows}}_blends AS
SELECT material, lot_no, coalesce(parent_material, material) AS parent_material, parent_lot_no, share
FROM {{of}}blends;

-- A component without a serial bears the number that it has in this build.
CREATE TEMP {{kind}} {{rows}}_components AS
SELECT
    coalesce(c.serial_no, concat('no serial, ', n.component_id)) AS key,
    c.component, c.serial_no, c.supplier, c.lot_no, c.fitted_by, h.hull_serial
FROM {{of}}component_index AS c
LEFT JOIN {{rows}}_component_numbers AS n ON n.own_id = c.component_id
LEFT JOIN {{of}}hull_index AS h USING (hull_id);

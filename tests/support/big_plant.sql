-- A plant of $hulls hulls, straight into the record tables.
INSERT INTO hulls BY NAME
SELECT printf('S22-%06d', h) AS hull_serial, printf('J%06d', h) AS job_no, 'S22' AS model,
    DATE '2015-01-01' + CAST(h / 14 AS INTEGER) AS completed_on,
    DATE '2015-01-20' + CAST(h / 14 AS INTEGER) AS shipped_on,
    DATE '2015-03-01' + CAST(h / 14 AS INTEGER) AS in_service_on, 1 AS source_id, h AS source_row
FROM range(1, $hulls + 1) AS r(h);

INSERT INTO parts BY NAME
SELECT printf('P%d-%06d', p, h) AS part_serial, printf('part %d', p) AS part,
    printf('J%06d', h) AS job_no, printf('M%d-%d', p, h % 5) AS mold_no, h // 5 AS pull_no,
    TIMESTAMP '2014-12-20' + to_hours(CAST(h * 24 / 14 AS INTEGER)) AS pulled_at,
    1 AS source_id, h * $parts + p AS source_row
FROM range(1, $hulls + 1) AS r(h), range($parts) AS s(p);

CREATE TEMP TABLE work AS
SELECT *, CASE WHEN $shuffled THEN printf('OP%x', hash(n)) ELSE printf('OP%09d', n) END AS operation_id
FROM (
SELECT *, row_number() OVER (ORDER BY started_at, h, p, o) AS n
FROM (
    SELECT h, p, o, TIMESTAMP '2014-12-10' + to_hours(CAST(h * 24 / 14 + o * 50 AS INTEGER)) AS started_at
    FROM range(1, $hulls + 1) AS r(h), range($parts) AS s(p), range($steps) AS t(o)
    UNION ALL
    SELECT h, -1, o, TIMESTAMP '2014-12-25' + to_hours(CAST(h * 24 / 14 + o * 20 AS INTEGER))
    FROM range(1, $hulls + 1) AS r(h), range($hull_steps) AS t(o)
)
);

INSERT INTO operations BY NAME
SELECT operation_id,
    CASE WHEN p < 0 THEN printf('assembly %d', o) ELSE printf('step %d', o) END AS step,
    CASE WHEN p >= 0 THEN printf('P%d-%06d', p, h) END AS part_serial,
    CASE WHEN p < 0 THEN printf('S22-%06d', h) END AS hull_serial,
    printf('ST-%d', o) AS station, printf('E-%d', (h + o) % 9) AS equipment,
    printf('W-%02d', (h * 7 + o) % 40) AS operator, started_at, 1 AS source_id, n AS source_row
FROM work ORDER BY n;

INSERT INTO usages BY NAME
SELECT operation_id, printf('material %d', o * $uses + u) AS material,
    printf('L-%d-%05d', o * $uses + u, h // $lot_hulls) AS lot_no,
    printf('D%02d', (h % $lot_hulls) // 12) AS drum_no, 20.0 AS quantity, 'kg' AS unit,
    1 AS source_id, n * $uses + u AS source_row
FROM work, range($uses) AS v(u) WHERE p >= 0 ORDER BY n, u;

INSERT INTO readings BY NAME
SELECT operation_id, printf('quantity %d', q) AS quantity, 20.0 + q AS value, 'degC' AS unit,
    1 AS source_id, source_row * $readings + q AS source_row
FROM operations, range($readings) AS s(q) ORDER BY operations.source_row, q;

DROP TABLE work;

INSERT INTO inspections BY NAME
SELECT printf('I%02d-%06d', c, h) AS inspection_id, printf('P%d-%06d', c % $parts, h) AS part_serial,
    printf('check %d', c) AS checkpoint,
    TIMESTAMP '2014-12-29' + to_hours(CAST(h * 24 / 14 AS INTEGER)) AS "at", 'pass' AS result,
    1 AS source_id, h * $checks + c AS source_row
FROM range(1, $hulls + 1) AS r(h), range($checks) AS s(c);

INSERT INTO components BY NAME
SELECT printf('J%06d', h) AS job_no, printf('component %d', c) AS component,
    printf('N%d-%06d', c, h) AS serial_no, printf('C%d-%05d', c, h // 60) AS lot_no,
    printf('V-%d', c) AS supplier, 1 AS source_id, h * $components + c AS source_row
FROM range(1, $hulls + 1) AS r(h), range($components) AS s(c);

INSERT INTO lots BY NAME
SELECT DISTINCT material, lot_no, printf('V-%d', hash(lot_no) % 20) AS supplier, 1 AS source_id, 1 AS source_row
FROM usages;

INSERT INTO ambient BY NAME
SELECT printf('ST-%d', s) AS station, TIMESTAMP '2014-12-01' + to_hours(CAST(t AS INTEGER)) AS "at",
    'ambient_temp' AS quantity, 21.0 AS value, 'degC' AS unit, 1 AS source_id, t * 10 + s AS source_row
FROM range($hulls * 24 // 14) AS r(t), range(5) AS q(s);

INSERT INTO claims BY NAME
SELECT printf('C%d-%06d', c, h) AS claim_no, printf('S22-%06d', h) AS hull_serial,
    DATE '2016-01-01' + CAST(h / 14 AS INTEGER) AS opened_on, 'blister' AS symptom,
    1 AS source_id, h * $claims + c AS source_row
FROM range(1, $hulls + 1) AS r(h), range($claims) AS s(c);

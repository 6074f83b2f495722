-- work: operations of this hull and of its peers: the same plant, model, part and step, started
-- within the given days of each other. The conditions queries of the exposure read it.
CREATE OR REPLACE TEMP TABLE own AS
SELECT o.*, coalesce(p.part, 'assembly') AS lane
FROM operation_index AS o
LEFT JOIN part_index AS p USING (part_id)
WHERE o.hull_id = $hull_id AND o.part IS NOT NULL;

CREATE OR REPLACE TEMP TABLE pairs AS
SELECT own.operation_no AS own_no, o.operation_no
FROM own
JOIN operation_index AS o
    ON o.part = own.part AND o.step = own.step AND (o.part_id IS NULL) = (own.part_id IS NULL)
    AND abs(date_diff('hour', own.started_at, o.started_at)) <= 24 * $days
JOIN hull_index AS h ON h.hull_id = o.hull_id
JOIN hull_index AS this ON this.hull_id = $hull_id AND this.model = h.model AND this.plant IS NOT DISTINCT FROM h.plant
WHERE o.hull_id <> $hull_id;

CREATE OR REPLACE TEMP TABLE work AS
SELECT o.*
FROM operation_index AS o
WHERE o.operation_no IN (SELECT operation_no FROM own UNION SELECT operation_no FROM pairs);

-- Hours from the end of the operation before it, on the same part or the same hull's
-- assembly, to the start of each.
CREATE OR REPLACE TEMP TABLE waits AS
WITH ordered AS (
    SELECT
        operation_no, started_at,
        lag(step) OVER in_time AS step_before,
        lag(coalesce(finished_at, started_at)) OVER in_time AS ended_before
    FROM operation_index
    WHERE hull_id IN (SELECT hull_id FROM work)
    WINDOW in_time AS (PARTITION BY hull_id, part_id ORDER BY started_at, operation_no)
)
SELECT operation_no, step_before, ended_before, date_diff('minute', ended_before, started_at) / 60.0 AS hours
FROM ordered
WHERE step_before IS NOT NULL AND operation_no IN (SELECT operation_no FROM work);

-- work: the given operations, for the conditions of the exposure.
CREATE TEMP TABLE work AS
SELECT operation_no, operation_id, hull_id, part, step, station, started_at, finished_at
FROM operation_index
WHERE operation_id IN (SELECT unnest(CAST($operations AS VARCHAR[])));

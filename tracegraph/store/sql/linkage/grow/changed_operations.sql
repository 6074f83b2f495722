-- Operations that differ from that of their number in the other build: the most by far, so that
-- each is looked up once. No two bear one number.
CREATE TEMP TABLE differing_operations AS
SELECT n.told AS now_told, w.told AS was_told
FROM (SELECT o.operation_id, o AS told FROM now_operations AS o) AS n
FULL JOIN (SELECT o.operation_id, o AS told FROM was_operations AS o) AS w ON w.operation_id = n.operation_id
WHERE n.told IS DISTINCT FROM w.told;

CREATE TEMP VIEW added_operations AS
SELECT unnest(now_told) FROM differing_operations WHERE now_told IS NOT NULL;

CREATE TEMP VIEW gone_operations AS
SELECT unnest(was_told) FROM differing_operations WHERE was_told IS NOT NULL;

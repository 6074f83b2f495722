-- All that each of the given nodes came from: one row per start and thing reached. UNION
-- drops what was reached before, so a loop ends; its start then reaches itself.
WITH RECURSIVE reach AS (
    SELECT e.node_id AS start_id, e.upstream_id AS node_id
    FROM edges_up AS e
    WHERE e.node_id IN (SELECT unnest(CAST($starts AS INTEGER[])))
    UNION
    SELECT reach.start_id, e.upstream_id
    FROM reach JOIN edges_up AS e ON e.node_id = reach.node_id
)
SELECT start_id, node_id FROM reach ORDER BY start_id, node_id;

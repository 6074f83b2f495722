-- All that came from each of the given nodes: one row per start and thing reached. UNION
-- drops what was reached before, so a loop ends; its start then reaches itself.
WITH RECURSIVE reach AS (
    SELECT e.upstream_id AS start_id, e.node_id
    FROM edges_down AS e
    WHERE e.upstream_id IN (SELECT unnest(CAST($starts AS INTEGER[])))
    UNION
    SELECT reach.start_id, e.node_id
    FROM reach JOIN edges_down AS e ON e.upstream_id = reach.node_id
)
SELECT start_id, node_id FROM reach ORDER BY start_id, node_id;

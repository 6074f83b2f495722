-- All that the given nodes together came from, themselves included.
WITH RECURSIVE reach AS (
    SELECT unnest(CAST($frontier AS INTEGER[])) AS node_id
    UNION
    SELECT e.upstream_id
    FROM reach JOIN edges_up AS e ON e.node_id = reach.node_id
)
SELECT node_id FROM reach ORDER BY node_id;

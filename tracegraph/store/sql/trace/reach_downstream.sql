-- All that came from the given nodes together, themselves included.
WITH RECURSIVE reach AS (
    SELECT unnest(CAST($frontier AS INTEGER[])) AS node_id
    UNION
    SELECT e.node_id
    FROM reach JOIN edges_down AS e ON e.upstream_id = reach.node_id
)
SELECT node_id FROM reach ORDER BY node_id;

-- One step downstream from each of the given nodes.
SELECT node_id, upstream_id, relation, share
FROM edges_down
WHERE upstream_id IN (SELECT unnest(CAST($frontier AS INTEGER[])))
ORDER BY upstream_id, node_id;

-- One step upstream from each of the given nodes.
SELECT node_id, upstream_id, relation, share
FROM edges_up
WHERE node_id IN (SELECT unnest(CAST($frontier AS INTEGER[])))
ORDER BY node_id, upstream_id;

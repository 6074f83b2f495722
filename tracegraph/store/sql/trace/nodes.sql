-- The given nodes.
SELECT node_id, kind, key, label
FROM nodes
WHERE node_id IN (SELECT unnest(CAST($ids AS INTEGER[])))
ORDER BY node_id;

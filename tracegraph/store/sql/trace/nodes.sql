-- The given nodes, in the order of kinds and keys: numbers depend on what was loaded first.
SELECT node_id, kind, key, label
FROM nodes
WHERE node_id IN (SELECT unnest(CAST($ids AS INTEGER[])))
ORDER BY kind, key;

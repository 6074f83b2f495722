-- Numbers of the nodes of one kind with the given keys.
SELECT node_id, key
FROM nodes
WHERE kind = $kind AND key IN (SELECT unnest(CAST($keys AS VARCHAR[])))
ORDER BY key;

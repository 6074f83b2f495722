-- One node for each thing named in the records, in the order of kinds and keys, and each step
-- between two of them once.
INSERT INTO nodes
SELECT CAST(row_number() OVER (ORDER BY kind, key) AS INTEGER), kind, key, min(label)
FROM now_things
GROUP BY kind, key;

CREATE TEMP TABLE numbered_steps AS
SELECT DISTINCT later.node_id, earlier.node_id AS upstream_id, s.relation, s.share
FROM now_steps AS s
JOIN nodes AS later ON later.kind = s.kind AND later.key = s.key
JOIN nodes AS earlier ON earlier.kind = s.up_kind AND earlier.key = s.up_key;

INSERT INTO edges_up
SELECT node_id, upstream_id, relation, share FROM numbered_steps ORDER BY node_id, upstream_id, relation, share;

INSERT INTO edges_down
SELECT upstream_id, node_id, relation, share FROM numbered_steps ORDER BY upstream_id, node_id, relation, share;

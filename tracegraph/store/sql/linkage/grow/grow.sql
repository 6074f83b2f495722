-- Things and steps that nobody told of before, behind those that are there.
INSERT INTO nodes
SELECT
    CAST((SELECT coalesce(max(node_id), 0) FROM nodes) + row_number() OVER (ORDER BY kind, key) AS INTEGER),
    kind, key, label
FROM (
    SELECT kind, key, min(label) AS label FROM added_things GROUP BY kind, key
) AS a
ANTI JOIN nodes AS n ON n.kind = a.kind AND n.key = a.key;

CREATE TEMP TABLE ends AS
SELECT n.node_id, n.kind, n.key
FROM nodes AS n
SEMI JOIN (
    SELECT kind, key FROM added_steps
    UNION
    SELECT up_kind, up_key FROM added_steps
) AS s ON s.kind = n.kind AND s.key = n.key;

CREATE TEMP TABLE told_steps AS
SELECT DISTINCT later.node_id, earlier.node_id AS upstream_id, s.relation, s.share
FROM added_steps AS s
JOIN ends AS later ON later.kind = s.kind AND later.key = s.key
JOIN ends AS earlier ON earlier.kind = s.up_kind AND earlier.key = s.up_key;

CREATE TEMP TABLE numbered_steps AS
SELECT node_id, upstream_id, relation, share FROM told_steps
EXCEPT
SELECT node_id, upstream_id, relation, share FROM edges_up
WHERE node_id IN (SELECT node_id FROM told_steps);

INSERT INTO edges_up
SELECT node_id, upstream_id, relation, share FROM numbered_steps ORDER BY node_id, upstream_id, relation, share;

INSERT INTO edges_down
SELECT upstream_id, node_id, relation, share FROM numbered_steps ORDER BY upstream_id, node_id, relation, share;

-- One step upstream, from what came later to what it came from; kept twice, since each
-- direction is read in the order of its own start.
CREATE TABLE edges_up (
    node_id      INTEGER NOT NULL,
    upstream_id  INTEGER NOT NULL,
    relation     VARCHAR NOT NULL,
    share        DOUBLE
);
COMMENT ON TABLE edges_up IS 'One step upstream, sorted by the later thing.';
COMMENT ON COLUMN edges_up.node_id IS 'what came later';
COMMENT ON COLUMN edges_up.upstream_id IS 'what it came from';
COMMENT ON COLUMN edges_up.relation IS 'W3C PROV name of the relation';
COMMENT ON COLUMN edges_up.share IS 'share of a blend, 0 to 1';

CREATE TABLE edges_down (
    upstream_id  INTEGER NOT NULL,
    node_id      INTEGER NOT NULL,
    relation     VARCHAR NOT NULL,
    share        DOUBLE
);
COMMENT ON TABLE edges_down IS 'The same steps, sorted by the earlier thing.';
COMMENT ON COLUMN edges_down.upstream_id IS 'what the later thing came from';
COMMENT ON COLUMN edges_down.node_id IS 'what came later';
COMMENT ON COLUMN edges_down.relation IS 'W3C PROV name of the relation';
COMMENT ON COLUMN edges_down.share IS 'share of a blend, 0 to 1';

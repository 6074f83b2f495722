-- The store's own notes: schema_version, duckdb_version, data_version, time_zone, plant, joined, exposure_rules, loaded_at.
CREATE TABLE meta (
    key    VARCHAR PRIMARY KEY,
    value  VARCHAR NOT NULL
);
COMMENT ON TABLE meta IS 'The store''s own notes.';
COMMENT ON COLUMN meta.key IS 'schema_version, duckdb_version, data_version, time_zone, plant, joined, exposure_rules, loaded_at';
COMMENT ON COLUMN meta.value IS 'its value as text';

-- Answers given as they are: hull, family, level; families described beside them.
CREATE TEMP TABLE described AS
SELECT
    h.hull_id, e.family, f.kind, f.part, f.step, CAST(f.stage AS INTEGER) AS stage,
    CAST(NULL AS VARCHAR) AS unit, e.level, CAST(NULL AS DOUBLE) AS low, CAST(NULL AS DOUBLE) AS high
FROM given_exposure AS e
JOIN hull_index AS h USING (hull_serial)
JOIN given_families AS f USING (family);

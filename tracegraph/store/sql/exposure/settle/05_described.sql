-- Answers with the full name of their family, its place in the order of building and the
-- edges of its bands.
CREATE TEMP TABLE described AS
SELECT
    a.hull_id,
    concat_ws(': ', a.part, nullif(a.step, ''), a.thing) AS family,
    a.kind,
    a.part,
    a.step,
    coalesce(s.stage, part_stage.stage, CASE WHEN a.part = 'any part' THEN 1 END, 999) AS stage,
    b.unit,
    a.level,
    b.low,
    b.high
FROM answers AS a
LEFT JOIN stages AS s ON s.part = a.part AND s.step = a.step
LEFT JOIN (SELECT part, min(stage) AS stage FROM stages GROUP BY part) AS part_stage ON part_stage.part = a.part
LEFT JOIN bands AS b ON b.part = a.part AND b.step = a.step AND b.thing = a.thing AND b.level = a.level;

-- Each measured answer falls into the band of its family; edges come from the whole
-- production, before any claim is looked at. A band holds its lower edge; the first and
-- the last are open.
INSERT INTO answers
SELECT DISTINCT m.hull_id, m.kind, m.part, m.step, m.thing, b.level
FROM measured AS m
JOIN (SELECT DISTINCT part, step, thing FROM bands) AS banded USING (part, step, thing)
ASOF LEFT JOIN bands AS b
    ON b.part = m.part AND b.step = m.step AND b.thing = m.thing AND m.value >= b.low;

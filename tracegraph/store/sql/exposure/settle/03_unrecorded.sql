-- A family applies to a model when at least half of the model's hulls answer it in any
-- way; a hull of such a model without an answer has a missing record.
CREATE TEMP TABLE asked AS
SELECT DISTINCT kind, part, step, thing FROM answers WHERE level <> '';

CREATE TEMP TABLE applying AS
WITH model_size AS (
    SELECT model, count(*) AS hulls FROM hull_index GROUP BY model
),
answered AS (
    SELECT a.part, a.step, a.thing, h.model, count(DISTINCT a.hull_id) AS hulls
    FROM answers AS a JOIN hull_index AS h USING (hull_id)
    GROUP BY a.part, a.step, a.thing, h.model
)
SELECT asked.*, a.model
FROM answered AS a
JOIN model_size AS m USING (model)
JOIN asked USING (part, step, thing)
WHERE a.hulls * 2 >= m.hulls;

INSERT INTO answers
SELECT h.hull_id, a.kind, a.part, a.step, a.thing, NULL
FROM applying AS a
JOIN hull_index AS h USING (model)
ANTI JOIN (SELECT DISTINCT hull_id, part, step, thing FROM answers) AS given
    ON given.hull_id = h.hull_id AND given.part = a.part AND given.step = a.step AND given.thing = a.thing;

-- A question applies to a model when at least half of the model's hulls answer it in any
-- way; a hull of such a model without an answer has a missing record. Each plant has its own
-- work and its own records, so that the hulls of a model are counted plant by plant.
CREATE TEMP TABLE answered AS
SELECT DISTINCT hull_id, question_id FROM replies;

CREATE TEMP TABLE asked AS
SELECT DISTINCT question_id FROM replies WHERE level <> '';

CREATE TEMP TABLE unrecorded AS
WITH made AS (
    SELECT hull_id, model, coalesce(plant, '') AS plant FROM hull_index
),
model_size AS (
    SELECT plant, model, count(*) AS hulls FROM made GROUP BY plant, model
),
by_model AS (
    SELECT a.question_id, h.plant, h.model, count(*) AS hulls
    FROM answered AS a JOIN made AS h USING (hull_id)
    GROUP BY a.question_id, h.plant, h.model
),
applying AS (
    SELECT b.question_id, b.plant, b.model
    FROM by_model AS b
    JOIN model_size AS m USING (plant, model)
    JOIN asked USING (question_id)
    WHERE b.hulls * 2 >= m.hulls
)
SELECT h.hull_id, a.question_id
FROM applying AS a
JOIN made AS h USING (plant, model)
ANTI JOIN answered AS g ON g.hull_id = h.hull_id AND g.question_id = a.question_id;

INSERT INTO replies
SELECT hull_id, question_id, CAST(NULL AS VARCHAR) FROM unrecorded;

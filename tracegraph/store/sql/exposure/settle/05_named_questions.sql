-- Questions with the full name of their family and their place in the order of building.
-- The outcome of a check stands after all work, even when a step bears the same name.
CREATE TEMP TABLE named_questions AS
SELECT
    q.question_id,
    concat_ws(': ', q.part, nullif(q.step, ''), q.thing) AS family,
    q.kind,
    q.part,
    q.step,
    coalesce(
        CASE WHEN q.thing IN ('result', 'by the rule') THEN c.stage END,
        s.stage,
        part_stage.stage,
        CASE WHEN q.part = 'any part' THEN 1 END,
        999
    ) AS stage,
    b.unit
FROM questions AS q
LEFT JOIN stages AS s ON s.part = q.part AND s.step = q.step
LEFT JOIN stages_of_checks AS c ON c.part = q.part AND c.checkpoint = q.step
LEFT JOIN (SELECT part, min(stage) AS stage FROM stages GROUP BY part) AS part_stage ON part_stage.part = q.part
LEFT JOIN (SELECT question_id, any_value(unit) AS unit FROM bands GROUP BY question_id) AS b USING (question_id);

-- Questions of the hulls in question, under the numbers that their families had before.
CREATE TEMP TABLE known_questions AS
SELECT q.question_id, f.family_id, q.kind = f.kind AS same_kind, f.unit
FROM questions AS q
LEFT JOIN earlier.families AS f ON f.family = concat_ws(': ', q.part, nullif(q.step, ''), q.thing);

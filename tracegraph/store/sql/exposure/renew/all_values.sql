-- From here on, question numbers are the family numbers of before.
CREATE TEMP TABLE new_replies AS
SELECT r.hull_id, k.family_id AS question_id, r.level
FROM replies AS r JOIN known_questions AS k USING (question_id)
WHERE k.family_id IS NOT NULL;

CREATE TEMP TABLE new_values AS
SELECT v.hull_id, k.family_id AS question_id, v.value
FROM values_measured AS v JOIN known_questions AS k USING (question_id)
WHERE k.family_id IS NOT NULL;

DROP TABLE replies;
DROP TABLE values_measured;
DROP TABLE questions;

CREATE TEMP TABLE values_measured AS
SELECT v.hull_id, v.question_id, v.value, f.unit
FROM (
    SELECT hull_id, question_id, value FROM new_values
    UNION ALL
    SELECT hull_id, family_id, value FROM others_values
) AS v
JOIN earlier.families AS f ON f.family_id = v.question_id;

CREATE TEMP TABLE questions AS
SELECT
    family_id AS question_id, kind, part, step,
    substr(family, length(concat_ws(': ', part, nullif(step, ''))) + 3) AS thing
FROM earlier.families;

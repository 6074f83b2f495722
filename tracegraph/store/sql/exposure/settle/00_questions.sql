-- Each question gets a number, so that from here on only numbers and levels are joined.
CREATE TEMP TABLE questions AS
SELECT
    CAST(row_number() OVER (ORDER BY part, step, thing) AS INTEGER) AS question_id,
    min(kind) AS kind, part, step, thing
FROM (
    SELECT DISTINCT kind, part, step, thing FROM answers
    UNION
    SELECT DISTINCT kind, part, step, thing FROM measured
)
GROUP BY part, step, thing;

-- replies: one answer of one hull; a null level was not written down, an empty one says
-- that the hull is known to carry none.
CREATE TEMP TABLE replies AS
SELECT a.hull_id, q.question_id, a.level
FROM answers AS a
JOIN questions AS q USING (part, step, thing);

-- values_measured: one value of one hull, to be put into a band.
CREATE TEMP TABLE values_measured AS
SELECT m.hull_id, q.question_id, m.value, m.unit
FROM measured AS m
JOIN questions AS q USING (part, step, thing);

DROP TABLE answers;
DROP TABLE measured;

-- Numbers for families, in the order in which they are shown. A family without a single
-- answer written down asks nothing and is left out.
CREATE TEMP TABLE numbered AS
SELECT
    CAST(row_number() OVER (ORDER BY coalesce(k.place, 99), q.stage, q.part, q.family) AS INTEGER) AS family_id,
    q.*
FROM named_questions AS q
JOIN (SELECT DISTINCT question_id FROM replies WHERE level <> '') AS answered USING (question_id)
LEFT JOIN kind_order AS k USING (kind);

INSERT INTO families
SELECT family_id, family, kind, part, step, stage, unit FROM numbered;

INSERT INTO levels
SELECT
    CAST(row_number() OVER (
        ORDER BY n.family_id, coalesce(b.low, CAST('-infinity' AS DOUBLE)), r.level
    ) AS INTEGER),
    n.family_id, r.level,
    CASE WHEN isfinite(b.low) THEN b.low END,
    CASE WHEN isfinite(b.high) THEN b.high END
FROM (SELECT DISTINCT question_id, level FROM replies WHERE level <> '') AS r
JOIN numbered AS n USING (question_id)
LEFT JOIN bands AS b ON b.question_id = r.question_id AND b.level = r.level;

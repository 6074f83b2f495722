-- Raw values under the numbers of their families.
INSERT INTO measured_values
SELECT f.family_id, r.hull_id, r.value, r.low, r.high
FROM raw_values AS r
JOIN families AS f USING (family)
ORDER BY f.family_id, r.hull_id;

INSERT INTO repeated_values
SELECT f.family_id, r.hull_id, r.value
FROM repeated AS r
JOIN families AS f USING (family)
ORDER BY ALL;

INSERT INTO unanswered
SELECT f.family_id, b.hull_id
FROM blanks AS b
JOIN families AS f USING (family)
ORDER BY ALL;

DROP TABLE raw_values;
DROP TABLE repeated;
DROP TABLE blanks;

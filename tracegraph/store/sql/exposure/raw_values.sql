-- Raw values under the numbers of their families.
INSERT INTO measured_values
SELECT f.family_id, r.hull_id, r.value, r.low, r.high
FROM raw_values AS r
JOIN families AS f USING (family)
ORDER BY f.family_id, r.hull_id;

DROP TABLE raw_values;

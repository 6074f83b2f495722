-- Raw values of all hulls under the numbers of now.
CREATE TEMP TABLE family_map AS
SELECT was.family_id AS earlier_id, now.family_id
FROM earlier.families AS was JOIN families AS now USING (family);

INSERT INTO measured_values
SELECT m.family_id, o.hull_id, v.value, v.low, v.high
FROM earlier.measured_values AS v
JOIN others AS o ON o.earlier_id = v.hull_id
JOIN family_map AS m ON m.earlier_id = v.family_id
UNION ALL
SELECT m.family_id, v.hull_id, avg(v.value), min(v.value), max(v.value)
FROM new_values AS v
JOIN family_map AS m ON m.earlier_id = v.question_id
WHERE v.value IS NOT NULL
GROUP BY m.family_id, v.hull_id
ORDER BY 1, 2;

INSERT INTO repeated_values
SELECT m.family_id, o.hull_id, r.value
FROM earlier.repeated_values AS r
JOIN others AS o ON o.earlier_id = r.hull_id
JOIN family_map AS m ON m.earlier_id = r.family_id
UNION ALL
SELECT m.family_id, v.hull_id, v.value
FROM (
    SELECT hull_id, question_id, value FROM new_values WHERE value IS NOT NULL
    QUALIFY count(*) OVER (PARTITION BY question_id, hull_id) > 1
) AS v
JOIN family_map AS m ON m.earlier_id = v.question_id
ORDER BY ALL;

INSERT INTO unanswered
SELECT m.family_id, o.hull_id
FROM earlier.unanswered AS u
JOIN others AS o ON o.earlier_id = u.hull_id
JOIN family_map AS m ON m.earlier_id = u.family_id
UNION ALL
SELECT m.family_id, u.hull_id
FROM unrecorded AS u
JOIN family_map AS m ON m.earlier_id = u.question_id
ORDER BY ALL;

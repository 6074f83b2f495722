-- How many hulls each question applies to, and for how many the records answer it in full.
SELECT
    f.family, f.kind, f.part, f.step,
    count(*) FILTER (WHERE e.first_row) AS hulls,
    count(*) FILTER (WHERE e.first_row AND e.complete) AS recorded,
    count(*) FILTER (WHERE e.first_row AND NOT e.complete) AS not_recorded
FROM families AS f
JOIN exposure AS e USING (family_id)
GROUP BY f.family_id, f.family, f.kind, f.part, f.step
ORDER BY f.family_id;

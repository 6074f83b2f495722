-- One row per build month and question: hulls asked, hulls whose record is complete.
SELECT
    date_trunc('month', h.built_on) AS built_month,
    e.family, e.kind, e.part, e.step,
    count(*) AS hulls,
    count(*) FILTER (WHERE e.complete) AS recorded
FROM expected_records AS e
JOIN hull_index AS h USING (hull_id)
GROUP BY ALL
ORDER BY built_month, e.family;

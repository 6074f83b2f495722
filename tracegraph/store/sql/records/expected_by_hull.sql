-- Share of the expected records that each hull has, poorest first.
SELECT
    h.hull_serial, h.model, h.built_on,
    count(*) AS expected,
    count(*) FILTER (WHERE e.complete) AS recorded,
    count(*) FILTER (WHERE e.complete) / count(*) AS score
FROM expected_records AS e
JOIN hull_index AS h USING (hull_id)
GROUP BY ALL
ORDER BY score, h.hull_serial;

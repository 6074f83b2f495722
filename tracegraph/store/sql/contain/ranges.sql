-- For each model (of each plant, where there are several) the range of numbers that encloses the hulls listed, and what else lies
-- in it. Hull identification numbers where any hull listed has one, else hull serials.
-- Reads the registered frame graded.
WITH several AS (
    SELECT count(DISTINCT plant) > 1 AS plants FROM graded
),
made AS (
    SELECT g.* REPLACE (CASE WHEN s.plants THEN concat_ws(', ', g.model, g.plant) ELSE g.model END AS model)
    FROM graded AS g CROSS JOIN several AS s
),
listed AS (
    SELECT model, bool_or(hin_key IS NOT NULL) AS by_hin
    FROM made
    WHERE grade IN ('recorded', 'probable', 'possible')
    GROUP BY model
),
numbered AS (
    SELECT
        g.model, l.by_hin, g.grade,
        CASE WHEN l.by_hin THEN g.hin_key ELSE g.hull_serial END AS number,
        CASE WHEN l.by_hin THEN g.hin ELSE g.hull_serial END AS shown
    FROM made AS g
    JOIN listed AS l USING (model)
),
ends AS (
    SELECT
        n.model, b.basis, any_value(n.by_hin) AS by_hin,
        min(n.number) AS first_number, max(n.number) AS last_number,
        arg_min(n.shown, n.number) AS first_shown, arg_max(n.shown, n.number) AS last_shown,
        count(*) FILTER (WHERE n.number IS NULL) AS without_number
    FROM numbered AS n
    JOIN (VALUES ('recorded', ['recorded']), ('all listed', ['recorded', 'probable', 'possible'])) AS b (basis, grades)
        ON list_contains(b.grades, n.grade)
    GROUP BY n.model, b.basis
)
SELECT
    e.model,
    e.basis,
    CASE WHEN e.by_hin THEN 'HIN' ELSE 'hull serial' END AS number,
    e.first_shown AS first,
    e.last_shown AS last,
    count(n.number) AS hulls_in_range,
    count(n.number) FILTER (WHERE n.grade = 'recorded') AS recorded,
    count(n.number) FILTER (WHERE n.grade = 'probable') AS probable,
    count(n.number) FILTER (WHERE n.grade = 'possible') AS possible,
    count(n.number) FILTER (WHERE n.grade IN ('remote', 'cleared', 'not applicable')) AS not_exposed,
    count(n.number) FILTER (WHERE n.grade = 'remote') AS remote,
    any_value(e.without_number) AS without_number
FROM ends AS e
LEFT JOIN numbered AS n ON n.model = e.model AND n.number BETWEEN e.first_number AND e.last_number
GROUP BY ALL
ORDER BY e.model, e.basis DESC;

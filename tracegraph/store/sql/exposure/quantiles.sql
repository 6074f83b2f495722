-- Spread of each measured question over the whole production. The points come from one look:
-- each look of its own would gather all values again.
SELECT
    question_id, unit, distinct_values, whole,
    points[1] AS q20, points[2] AS q40, points[3] AS q60, points[4] AS q80
FROM (
    SELECT
        question_id, any_value(unit) AS unit,
        count(DISTINCT value) AS distinct_values,
        bool_and(value = round(value)) AS whole,
        quantile_cont(value, [0.2, 0.4, 0.6, 0.8]) AS points
    FROM values_measured
    WHERE value IS NOT NULL
    GROUP BY question_id
)
ORDER BY question_id;

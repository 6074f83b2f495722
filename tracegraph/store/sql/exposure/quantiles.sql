-- Spread of each measured question over the whole production.
SELECT
    question_id, any_value(unit) AS unit,
    count(DISTINCT value) AS distinct_values,
    bool_and(value = round(value)) AS whole,
    quantile_cont(value, 0.2) AS q20,
    quantile_cont(value, 0.4) AS q40,
    quantile_cont(value, 0.6) AS q60,
    quantile_cont(value, 0.8) AS q80
FROM values_measured
WHERE value IS NOT NULL
GROUP BY question_id
ORDER BY question_id;

-- Five-number spread of each measured family over the whole production, with its distinct
-- values when they are few.
SELECT
    part, step, thing, any_value(unit) AS unit,
    count(DISTINCT value) AS distinct_values,
    bool_and(value = round(value)) AS whole,
    quantile_cont(value, 0.2) AS q20,
    quantile_cont(value, 0.4) AS q40,
    quantile_cont(value, 0.6) AS q60,
    quantile_cont(value, 0.8) AS q80
FROM measured
WHERE value IS NOT NULL
GROUP BY part, step, thing
ORDER BY part, step, thing;

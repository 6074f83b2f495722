-- Place of each step in the order of building: by the median time since the hull's first
-- operation.
CREATE TEMP TABLE stages AS
WITH worked AS (
    SELECT hull_id, part, step, started_at FROM operation_index WHERE hull_id IS NOT NULL AND part IS NOT NULL
),
first_work AS (
    SELECT hull_id, min(started_at) AS began FROM worked GROUP BY hull_id
),
placed AS (
    SELECT part, step, median(date_diff('minute', began, started_at)) AS minutes
    FROM worked JOIN first_work USING (hull_id)
    GROUP BY part, step
    UNION ALL
    SELECT 'hull', component, median(date_diff('minute', began, fitted_at))
    FROM component_index JOIN first_work USING (hull_id)
    GROUP BY component
)
SELECT part, step, CAST(row_number() OVER (ORDER BY max(minutes) NULLS LAST, part, step) AS INTEGER) AS stage
FROM placed
GROUP BY part, step;

-- Every claim that counts on a hull at risk, by month in service: the first and those that
-- follow. Several lines of one hull and day are one claim; solicited ones never count.
WITH matching AS (
    SELECT DISTINCT c.hull_id, c.failed_on, r.delivered_on, r.follow_months
    FROM claim_index AS c
    JOIN at_risk AS r USING (hull_id)
    WHERE NOT c.solicited
        AND (len($symptoms) = 0 OR list_contains($symptoms, lower(c.symptom)))
        AND (len($zones) = 0 OR list_contains($zones, lower(c.zone)))
        AND (len($components) = 0 OR list_contains($components, lower(c.component)))
        AND list_contains($certainty, c.certainty)
        AND c.opened_on <= CAST($cut_off AS DATE)
        AND CASE WHEN c.failed_on < r.delivered_on THEN $before_delivery ELSE $in_service END
),
dated AS (
    SELECT
        hull_id, failed_on, follow_months,
        greatest(0, date_sub('month', delivered_on, failed_on)) AS whole,
        delivered_on
    FROM matching
),
aged AS (
    SELECT
        hull_id, failed_on, follow_months,
        whole + CASE WHEN delivered_on + to_months(CAST(whole AS INTEGER)) < failed_on THEN 1 ELSE 0 END AS month
    FROM dated
)
SELECT hull_id, failed_on, CAST(month AS BIGINT) AS month
FROM aged
WHERE month <= follow_months
    AND ($first_month IS NULL OR month >= $first_month)
    AND ($last_month IS NULL OR month <= $last_month)
ORDER BY hull_id, failed_on;

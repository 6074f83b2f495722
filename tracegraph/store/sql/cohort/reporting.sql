-- Last day of the data and the days within which 95 % of claims were opened. Only claims
-- that failed a year or more before the end are used when there are at least 20 of them:
-- recent ones have been reported only if they were reported fast.
WITH ends AS (
    SELECT coalesce(CAST($cut_off AS DATE), max(opened_on)) AS cut_off FROM claim_index
),
lags AS (
    SELECT date_diff('day', failed_on, opened_on) AS days, failed_on + INTERVAL 1 YEAR <= cut_off AS old
    FROM claim_index CROSS JOIN ends
    WHERE failed_known AND opened_on >= failed_on AND opened_on <= cut_off
)
SELECT
    (SELECT cut_off FROM ends) AS cut_off,
    count(*) FILTER (WHERE old) AS old_claims,
    count(*) AS dated_claims,
    CAST(ceil(CASE
        WHEN count(*) FILTER (WHERE old) >= 20 THEN quantile_cont(days, 0.95) FILTER (WHERE old)
        ELSE quantile_cont(days, 0.95)
    END) AS INTEGER) AS reporting_days
FROM lags;

-- Hulls of the definition by month of building, model, follow-up and month of the first
-- claim that counts. follow_months is -1 for hulls not yet delivered. can_grow says that
-- the follow-up goes on; a null month holds hulls without a build date.
SELECT
    CAST(date_trunc('month', f.built_on) AS DATE) AS built_month,
    h.model,
    greatest(coalesce(a.follow_months, -1), -1) AS follow_months,
    CASE WHEN a.case_month <= a.follow_months THEN a.case_month END AS case_month,
    f.followed_until >= CAST($cut_off AS DATE) - CAST($reporting_days AS INTEGER) AS can_grow,
    count(*) AS hulls
FROM followed AS f
JOIN hull_index AS h USING (hull_id)
LEFT JOIN at_risk AS a USING (hull_id)
WHERE f.in_models AND f.in_build_range
GROUP BY ALL
ORDER BY ALL;

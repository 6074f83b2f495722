-- For each month of building and each mark (months in service): hulls followed to the mark,
-- of those the ones with a claim by then, and hulls that may still reach the mark. Runs on
-- the tables that the cohort lays out. A null month holds hulls without a build date.
WITH marks AS (
    SELECT unnest(CAST($marks AS INTEGER[])) AS mark
),
hulls AS (
    SELECT
        f.hull_id,
        CAST(date_trunc('month', f.built_on) AS DATE) AS built_month,
        a.hull_id IS NOT NULL AS delivered,
        coalesce(a.follow_months, -1) AS follow_months,
        a.case_month,
        f.followed_until >= CAST($cut_off AS DATE) - CAST($reporting_days AS INTEGER) AS still_followed
    FROM followed AS f
    LEFT JOIN at_risk AS a ON a.hull_id = f.hull_id
    WHERE f.in_models AND f.in_build_range
)
SELECT
    h.built_month,
    m.mark,
    count(*) AS built,
    count(*) FILTER (WHERE h.delivered) AS delivered,
    count(*) FILTER (WHERE h.follow_months >= m.mark) AS followed,
    count(*) FILTER (WHERE h.follow_months >= m.mark AND h.case_month <= m.mark) AS affected,
    count(*) FILTER (WHERE h.follow_months < m.mark AND (h.still_followed OR NOT h.delivered)) AS waiting
FROM hulls AS h
CROSS JOIN marks AS m
GROUP BY h.built_month, m.mark
ORDER BY h.built_month NULLS LAST, m.mark;

-- Every hull of the build with its follow-up and first claim; follow_months is -1 where it
-- was never at risk.
SELECT
    h.hull_id,
    h.model,
    coalesce(h.dealer, '') AS dealer,
    coalesce(h.plant, '') AS plant,
    CAST(h.built_on - DATE '2000-01-01' AS INTEGER) AS built_day,
    coalesce(year(h.built_on) * 2 + CAST(month(h.built_on) > 6 AS INTEGER), 0) AS half_year,
    coalesce(r.follow_months, -1) AS follow_months,
    coalesce(r.case_month, -1) AS case_month
FROM hull_index AS h
LEFT JOIN at_risk AS r USING (hull_id)
ORDER BY h.hull_id;

-- Every hull with what a containment shows of it. Needs the temporary table followed.
WITH claims AS (
    SELECT hull_id, count(*) AS claims
    FROM claim_index
    WHERE (len($symptoms) = 0 OR list_contains($symptoms, lower(symptom)))
        AND (len($zones) = 0 OR list_contains($zones, lower(zone)))
        AND (len($components) = 0 OR list_contains($components, lower(component)))
    GROUP BY hull_id
)
SELECT
    h.hull_id, h.hull_serial, h.hin, h.hin_key, h.model, h.plant, h.dealer, h.place, h.built_on,
    h.delivered_on, h.delivered_imputed, h.exit_on,
    CASE
        WHEN h.delivered_on <= $as_of
            THEN date_sub('month', h.delivered_on, least(CAST($as_of AS DATE), coalesce(h.exit_on, $as_of)))
    END AS months_in_service,
    CASE
        WHEN f.followed_until >= h.delivered_on THEN date_sub('month', h.delivered_on, f.followed_until)
    END AS follow_months,
    f.case_month IS NOT NULL AS affected,
    coalesce(c.claims, 0) AS claims
FROM hull_index AS h
LEFT JOIN claims AS c USING (hull_id)
LEFT JOIN followed AS f USING (hull_id)
ORDER BY h.hull_id;

-- followed: every hull with the whole months of service over which it could have been
-- seen to fail, and the month of its first claim that counts, if any. Months are calendar
-- months from delivery; a claim in the first month after delivery has case_month 1, one
-- on the day of delivery 0.
CREATE OR REPLACE TEMP TABLE followed AS
WITH matching AS (
    SELECT
        c.claim_id, c.hull_id, c.failed_on, c.solicited,
        c.failed_on < h.delivered_on AS before_delivery
    FROM claim_index AS c
    JOIN hull_index AS h USING (hull_id)
    WHERE (len($symptoms) = 0 OR list_contains($symptoms, lower(c.symptom)))
        AND (len($zones) = 0 OR list_contains($zones, lower(c.zone)))
        AND (len($components) = 0 OR list_contains($components, lower(c.component)))
        AND list_contains($certainty, c.certainty)
        AND c.opened_on <= $cut_off
),
typed AS (
    SELECT
        m.*,
        CASE
            WHEN m.before_delivery THEN 0
            ELSE date_sub('month', h.delivered_on, m.failed_on)
                + CASE WHEN h.delivered_on + to_months(CAST(date_sub('month', h.delivered_on, m.failed_on) AS INTEGER)) < m.failed_on THEN 1 ELSE 0 END
        END AS month
    FROM matching AS m
    JOIN hull_index AS h USING (hull_id)
    WHERE h.delivered_on IS NOT NULL
        AND CASE WHEN m.before_delivery THEN $before_delivery ELSE $in_service END
),
first_claim AS (
    SELECT
        hull_id,
        min(month) FILTER (WHERE NOT solicited
            AND ($first_month IS NULL OR month >= $first_month)
            AND ($last_month IS NULL OR month <= $last_month)) AS case_month,
        min(failed_on) FILTER (WHERE solicited) AS solicited_on
    FROM typed
    GROUP BY hull_id
)
SELECT
    h.hull_id,
    h.built_on,
    h.shipped_on,
    h.delivered_on,
    h.delivered_imputed,
    f.case_month,
    least(
        CAST($cut_off AS DATE) - CAST($reporting_days AS INTEGER),
        coalesce(h.exit_on, DATE '9999-01-01'),
        coalesce(f.solicited_on, DATE '9999-01-01')
    ) AS followed_until,
    h.built_on IS NOT NULL
        AND (CAST($built_from AS DATE) IS NULL OR h.built_on >= CAST($built_from AS DATE))
        AND (CAST($built_to AS DATE) IS NULL OR h.built_on <= CAST($built_to AS DATE))
        OR (h.built_on IS NULL AND CAST($built_from AS DATE) IS NULL AND CAST($built_to AS DATE) IS NULL) AS in_build_range,
    len($models) = 0 OR list_contains($models, lower(h.model)) AS in_models,
    len($plants) = 0 OR coalesce(list_contains($plants, lower(h.plant)), false) AS in_plants
FROM hull_index AS h
LEFT JOIN first_claim AS f USING (hull_id);

CREATE OR REPLACE TEMP TABLE at_risk AS
SELECT
    hull_id, built_on, delivered_on, delivered_imputed, case_month,
    CASE WHEN followed_until >= delivered_on
        THEN CAST(date_sub('month', delivered_on, followed_until) AS INTEGER)
        ELSE -1
    END AS follow_months
FROM followed
WHERE in_build_range AND in_models AND in_plants AND delivered_on IS NOT NULL;

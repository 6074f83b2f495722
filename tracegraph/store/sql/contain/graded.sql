-- Every hull with its grade for one level. A hull whose record is missing is possible,
-- never clear; one drum's hull whose lot was written down and is another lot is clear.
-- Needs the temporary table followed.
CREATE OR REPLACE TEMP TABLE graded AS
WITH answers AS (
    SELECT
        hull_id,
        bool_or(level_id = $level_id) AS carries,
        bool_and(complete) AS complete,
        count(level_id) AS written_down
    FROM exposure
    WHERE family_id = $family_id
    GROUP BY hull_id
),
lots AS (
    SELECT hull_id, bool_or(level_id = $parent_level_id) AS carries, bool_and(complete) AS complete
    FROM exposure
    WHERE family_id = $parent_family_id
    GROUP BY hull_id
),
claims AS (
    SELECT hull_id, count(*) AS claims
    FROM claim_index
    WHERE (len($symptoms) = 0 OR list_contains($symptoms, lower(symptom)))
        AND (len($zones) = 0 OR list_contains($zones, lower(zone)))
        AND (len($components) = 0 OR list_contains($components, lower(component)))
    GROUP BY hull_id
)
SELECT
    h.hull_id, h.hull_serial, h.hin, h.hin_key, h.model, h.dealer, h.place, h.built_on,
    h.delivered_on, h.delivered_imputed,
    CASE
        WHEN a.carries THEN 'recorded'
        WHEN a.hull_id IS NULL THEN 'not applicable'
        WHEN a.complete THEN 'cleared'
        WHEN l.complete AND NOT coalesce(l.carries, false) THEN 'cleared'
        ELSE 'possible'
    END AS grade,
    CASE
        WHEN l.carries THEN 'lot'
        WHEN a.written_down > 0 THEN 'part'
        ELSE 'none'
    END AS missing,
    CASE
        WHEN h.delivered_on <= $as_of
            THEN date_sub('month', h.delivered_on, least(CAST($as_of AS DATE), coalesce(h.exit_on, $as_of)))
    END AS months_in_service,
    f.case_month IS NOT NULL AS affected,
    coalesce(c.claims, 0) AS claims
FROM hull_index AS h
LEFT JOIN answers AS a USING (hull_id)
LEFT JOIN lots AS l USING (hull_id)
LEFT JOIN claims AS c USING (hull_id)
LEFT JOIN followed AS f USING (hull_id);

-- How much the records hold, in one row.
SELECT
    (SELECT count(*) FROM hull_index) AS hulls,
    (SELECT count(*) FROM hull_index WHERE delivered_on IS NOT NULL) AS delivered,
    (SELECT count(*) FROM claim_index) AS claims,
    (SELECT count(DISTINCT hull_id) FROM claim_index) AS hulls_with_claims,
    (SELECT sum(cost) FROM claim_index) AS cost,
    (SELECT min(built_on) FROM hull_index) AS first_built_on,
    (SELECT max(built_on) FROM hull_index) AS last_built_on,
    (SELECT max(opened_on) FROM claim_index) AS last_opened_on;

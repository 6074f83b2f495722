-- The landmark table: hulls followed to the landmark or longer; affected, when the case
-- came by then.
CREATE OR REPLACE TEMP TABLE cohort AS
SELECT hull_id, CASE WHEN case_month <= $landmark THEN 1 ELSE 0 END AS affected
FROM at_risk
WHERE follow_months >= $landmark;

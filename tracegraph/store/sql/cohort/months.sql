-- Hulls by the month of their case and the months they were followed, to choose the
-- landmark that keeps the most cases.
SELECT case_month, follow_months, count(*) AS hulls
FROM at_risk
GROUP BY case_month, follow_months
ORDER BY case_month, follow_months;

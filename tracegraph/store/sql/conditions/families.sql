-- Families whose answers are measured, in the order of display, with the hulls that have a
-- value.
SELECT f.family_id, f.family, f.kind, f.part, f.step, f.stage, f.unit, count(*) AS hulls
FROM families AS f
JOIN measured_values AS v USING (family_id)
GROUP BY ALL
ORDER BY f.family_id;

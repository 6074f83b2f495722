-- The hulls of the landmark table and whether each is affected.
SELECT hull_id, affected FROM cohort;

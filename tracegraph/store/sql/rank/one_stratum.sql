-- The units of one stratum as the cohort that is counted.
CREATE OR REPLACE TEMP TABLE cohort AS
SELECT hull_id, affected FROM all_units WHERE stratum = $stratum;

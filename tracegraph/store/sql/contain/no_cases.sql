-- Stands where a case definition would lay out its hulls: nobody was asked about.
CREATE OR REPLACE TEMP TABLE followed AS
SELECT CAST(NULL AS INTEGER) AS hull_id, CAST(NULL AS INTEGER) AS case_month, CAST(NULL AS DATE) AS followed_until WHERE false;

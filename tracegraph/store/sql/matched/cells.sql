-- One row per family and answer, in the order of exposure: rows in a row, and the first of
-- them. A level 0 says none of the levels, -1 that the answer is missing.
SELECT
    family_id,
    coalesce(level_id, -1) AS level_id,
    count(*) AS hulls,
    min(rowid) AS first_row
FROM exposure
GROUP BY family_id, coalesce(level_id, -1)
ORDER BY first_row;

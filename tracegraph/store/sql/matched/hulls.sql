-- Numbers of all hulls of the build.
SELECT hull_id FROM hull_index ORDER BY hull_id;

-- The number that each hull goes by, in order of its number inside the build.
SELECT h.hull_id, h.hull_serial
FROM hull_index AS h
ORDER BY h.hull_id;

-- The plants that were joined, in the order of their names.
SELECT plant, store, data_version, time_zone, hulls, claims FROM plants ORDER BY plant;

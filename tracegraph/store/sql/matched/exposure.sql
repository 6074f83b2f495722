-- Hulls of all rows of exposure, in the order in which they are kept: by family, level, hull.
SELECT hull_id FROM exposure;

-- Every hull of the build by name, and whether it is affected in the landmark table; null
-- where that table does not hold it.
SELECT h.hull_id, h.hull_serial, h.model, h.place, c.affected = 1 AS affected
FROM hull_index AS h
LEFT JOIN cohort AS c USING (hull_id)
ORDER BY h.hull_id;

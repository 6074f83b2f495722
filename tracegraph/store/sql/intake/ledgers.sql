-- Ledger of each file of one load.
SELECT name, sum(seen), sum(loaded), sum(set_aside), sum(repeats), sum(furniture)
FROM sources
WHERE load_no = $load_no
GROUP BY name
ORDER BY name;

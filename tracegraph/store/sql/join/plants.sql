-- The plants that were joined, in the order of their names.
SELECT plant, store, data_version, time_zone, hulls, claims, CAST(last_claim_on AS VARCHAR) AS last_claim_on
FROM plants
ORDER BY plant;

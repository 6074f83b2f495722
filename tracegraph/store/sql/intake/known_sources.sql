-- Files of the build in force, with the way they were read and their rows.
SELECT sha256, reading, sum(seen), sum(furniture)
FROM sources
GROUP BY sha256, reading;

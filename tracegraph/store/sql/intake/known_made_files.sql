-- Files that a load made of the mapping and of queries: their next state replaces them.
SELECT name, sha256
FROM sources
WHERE name = 'intake.toml (renamed molds)' OR starts_with(name, 'query ');

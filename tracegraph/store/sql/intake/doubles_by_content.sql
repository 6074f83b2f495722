-- Rows that may say the same, by a hash of it.
CREATE OR REPLACE TEMP TABLE doubles AS
SELECT hash({{fields}}) AS key FROM {{table}} GROUP BY key HAVING count(*) > 1;

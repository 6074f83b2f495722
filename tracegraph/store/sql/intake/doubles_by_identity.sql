-- Rows that may speak of the same fact, by a hash of it.
CREATE OR REPLACE TEMP TABLE doubles AS
SELECT hash({{identity}}) AS key FROM {{table}} GROUP BY key HAVING count(*) > 1;

-- Rows of one record table that this build or the build before has alone, or more often.
CREATE TEMP TABLE changed_{{table}} AS
WITH now AS (
    SELECT {{columns}}, count(*) AS times FROM {{table}} GROUP BY ALL
),
was AS (
    SELECT {{columns}}, count(*) AS times FROM earlier.{{table}} GROUP BY ALL
)
SELECT {{columns}} FROM (FROM now EXCEPT FROM was)
UNION
SELECT {{columns}} FROM (FROM was EXCEPT FROM now);

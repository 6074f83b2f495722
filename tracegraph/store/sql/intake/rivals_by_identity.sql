-- Rows of one table that speak of the same fact. The latest stamp is kept; without stamps
-- the fullest row, then the first in the order of its content: never the order of loading.
-- A number that was given again after years stands for another thing: runs of rows more than
-- a year apart are other facts, unless something else ties them together.
INSERT INTO given_way
WITH rivals AS (
    SELECT
        t.*,
        t.rowid AS row_key,
        s.stamp,
        hash({{content}}) AS said,
        {{day}} AS fact_day,
        {{tie}} AS fact_tie
    FROM {{table}} AS t
    LEFT JOIN stamps AS s
        ON s.table_name = $table_name AND s.source_id = t.source_id AND s.source_row = t.source_row
    WHERE hash({{identity}}) IN (SELECT key FROM doubles)
),
spaced AS (
    SELECT
        *,
        CAST(
            fact_day - lag(fact_day) OVER days > 365
            AND (fact_tie <> lag(fact_tie) OVER days OR fact_tie IS NULL OR lag(fact_tie) OVER days IS NULL)
            AS INTEGER
        ) AS leap
    FROM rivals
    WINDOW days AS (PARTITION BY {{identity}} ORDER BY fact_day NULLS FIRST, fact_tie)
),
separate AS (
    SELECT
        *,
        coalesce(sum(leap) OVER (
            PARTITION BY {{identity}} ORDER BY fact_day NULLS FIRST, fact_tie RANGE UNBOUNDED PRECEDING
        ), 0) AS run
    FROM spaced
),
ranked AS (
    SELECT
        *,
        row_number() OVER facts AS standing,
        first_value(said) OVER facts AS kept_said,
        first_value(stamp) OVER facts AS kept_stamp,
        first_value(source_id) OVER facts AS kept_source,
        first_value(source_row) OVER facts AS kept_row,
        row_number() OVER (PARTITION BY {{identity}}, run, said, stamp ORDER BY source_id, source_row) AS copy
    FROM separate
    WINDOW facts AS (
        PARTITION BY {{identity}}, run
        ORDER BY stamp DESC NULLS LAST, {{filled}} DESC, {{content}}, source_id, source_row
    )
)
SELECT
    $table_name,
    row_key,
    source_id,
    source_row,
    stamp,
    CASE
        WHEN said = kept_said OR copy > 1 THEN 'repeat'
        WHEN stamp < kept_stamp THEN 'older'
        ELSE 'conflict'
    END,
    kept_source,
    kept_row,
    CASE WHEN said <> kept_said AND copy = 1 THEN CAST(to_json({{record}}) AS VARCHAR) END
FROM ranked
WHERE standing > 1;

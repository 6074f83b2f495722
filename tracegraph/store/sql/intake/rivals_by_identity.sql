-- Rows of one table that speak of the same fact. The latest stamp is kept; without stamps
-- the fullest row, then the first in the order of its content: never the order of loading.
INSERT INTO given_way
WITH rivals AS (
    SELECT
        t.*,
        t.rowid AS row_key,
        s.stamp,
        hash({{content}}) AS said
    FROM {{table}} AS t
    LEFT JOIN stamps AS s
        ON s.table_name = $table_name AND s.source_id = t.source_id AND s.source_row = t.source_row
    WHERE hash({{identity}}) IN (SELECT key FROM doubles)
),
ranked AS (
    SELECT
        *,
        row_number() OVER facts AS standing,
        first_value(said) OVER facts AS kept_said,
        first_value(stamp) OVER facts AS kept_stamp,
        first_value(source_id) OVER facts AS kept_source,
        first_value(source_row) OVER facts AS kept_row,
        row_number() OVER (PARTITION BY {{identity}}, said, stamp ORDER BY source_id, source_row) AS copy
    FROM rivals
    WINDOW facts AS (
        PARTITION BY {{identity}}
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

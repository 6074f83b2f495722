-- Rows of a table without identity that say the same. Equal lines of one export stay, for
-- each may stand for an event of its own; the same lines in a second export are repeats.
-- A file whose rows have an identity may tell a row twice, which is a repeat as well.
INSERT INTO given_way
WITH numbered AS (
    SELECT
        t.*,
        t.rowid AS row_key,
        row_number() OVER (
            PARTITION BY {{fields}}, t.source_id, CASE WHEN f.source_id IS NOT NULL THEN t.source_row END
            ORDER BY t.source_row
        ) AS copy
    FROM {{table}} AS t
    LEFT JOIN facts_told AS f ON f.source_id = t.source_id AND f.table_name = $table_name
    WHERE hash({{fields}}) IN (SELECT key FROM doubles)
),
ranked AS (
    SELECT
        *,
        row_number() OVER copies AS standing,
        first_value(source_id) OVER copies AS kept_source,
        first_value(source_row) OVER copies AS kept_row
    FROM numbered
    WINDOW copies AS (PARTITION BY {{fields}}, copy ORDER BY source_id, source_row)
)
SELECT $table_name, row_key, source_id, source_row, NULL, 'repeat', kept_source, kept_row, NULL
FROM ranked
WHERE standing > 1;

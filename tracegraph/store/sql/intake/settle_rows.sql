-- What became of each row of a file that lost a record: a row that still has one counts as
-- loaded, else its records' fate is its own.
CREATE OR REPLACE TEMP TABLE lost_rows AS
SELECT
    source_id,
    source_row,
    CASE max(CASE fate WHEN 'conflict' THEN 3 WHEN 'older' THEN 2 ELSE 1 END)
        WHEN 3 THEN 'conflict' WHEN 2 THEN 'older' ELSE 'repeat'
    END AS fate
FROM given_way
GROUP BY source_id, source_row;

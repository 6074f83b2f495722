-- Every hull of the build with the pulls of the part's mold since it was last looked after,
-- and a number for each stretch from one service of one mold to the next.
WITH counted AS (
    SELECT v.hull_id, v.value AS pulls
    FROM measured_values AS v
    JOIN families AS f USING (family_id)
    WHERE f.part = $part AND f.step = '' AND f.family = $part || ': mold pulls since service'
),
parts AS (
    SELECT hull_id, min(mold_no) AS mold_no, min(pulled_at) AS pulled_at
    FROM part_index
    WHERE part = $part AND mold_no IS NOT NULL AND pulled_at IS NOT NULL
    GROUP BY hull_id
),
steps AS (
    SELECT
        hull_id, mold_no, pulls, pulled_at,
        coalesce(pulls <= lag(pulls) OVER (PARTITION BY mold_no ORDER BY pulled_at, hull_id), true) AS served
    FROM counted JOIN parts USING (hull_id)
),
turns AS (
    SELECT
        hull_id, pulls,
        sum(CAST(served AS INTEGER)) OVER (ORDER BY mold_no, pulled_at, hull_id ROWS UNBOUNDED PRECEDING) AS turn
    FROM steps
)
SELECT h.hull_id, t.pulls, CAST(t.turn AS BIGINT) AS turn
FROM hull_index AS h
LEFT JOIN turns AS t USING (hull_id)
ORDER BY h.hull_id;

-- Every hull of the build with the time of the work to which a condition belongs: the first
-- operation at that part and step, else the pulling of the part. An empty step means the
-- part as a whole.
WITH worked AS (
    SELECT hull_id, min(started_at) AS "at"
    FROM operation_index
    WHERE step = $step AND (part = $part OR $part = 'any part')
    GROUP BY hull_id
),
pulled AS (
    SELECT hull_id, min(pulled_at) AS "at"
    FROM part_index
    WHERE part = $part AND $step = ''
    GROUP BY hull_id
)
SELECT h.hull_id, coalesce(w."at", p."at") AS "at", CAST(h.built_on AS TIMESTAMP) AS built_at
FROM hull_index AS h
LEFT JOIN worked AS w USING (hull_id)
LEFT JOIN pulled AS p USING (hull_id)
ORDER BY h.hull_id;

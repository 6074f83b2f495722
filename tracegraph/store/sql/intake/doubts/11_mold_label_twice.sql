-- Mold numbers that seem to have been given to a second mold without a renaming: commissioned
-- once more, used after they were retired, or with a count of pulls that falls back.
INSERT INTO remarks
WITH told AS (
    SELECT mold_no, concat('was commissioned ', count(DISTINCT CAST("at" AS DATE)), ' times, and counts as a mold of its own from the last time on') AS what, 1 AS place
    FROM mold_events
    WHERE event = 'commissioned' AND coalesce(pull_no, 0) <= 1
    GROUP BY mold_no HAVING count(DISTINCT CAST("at" AS DATE)) > 1
    UNION ALL
    SELECT p.mold_no, concat('has ', count(*), ' parts pulled after it was retired'), 2
    FROM parts AS p
    JOIN (SELECT mold_no, max("at") AS retired_at FROM mold_events WHERE event = 'retired' GROUP BY mold_no) AS r USING (mold_no)
    WHERE p.pulled_at > r.retired_at
    GROUP BY p.mold_no
    UNION ALL
    SELECT mold_no, concat('counts its pulls back from ', max(before), ' to ', min(pull_no)), 3
    FROM (
        SELECT mold_no, pull_no, max(pull_no) OVER (
            PARTITION BY mold_no ORDER BY pulled_at ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING
        ) AS before
        FROM parts
        WHERE mold_no IS NOT NULL AND pulled_at IS NOT NULL AND pull_no IS NOT NULL
    )
    WHERE pull_no * 2 < before AND before - pull_no >= 10
    GROUP BY mold_no
)
SELECT NULL, 'mold_events', 'one mold number, two molds', 1,
    concat('mold ', mold_no, ' ', what, ': if its number was given to another mold, write a renamed event for the old one, or a commissioned event for the new one')
FROM told
WHERE mold_no NOT IN (SELECT mold_no FROM mold_events WHERE event = 'renamed')
QUALIFY row_number() OVER (PARTITION BY mold_no ORDER BY place) = 1
ORDER BY mold_no;

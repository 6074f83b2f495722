-- For each value the most frequent text that many rows were written as, unless some row
-- was written as the value itself.
SELECT raw
FROM (
    SELECT arg_max(raw, uses) AS raw, value
    FROM {{lookup}}
    WHERE (rule IS NOT NULL OR problem IS NOT NULL)
        AND NOT (value IS NULL AND list_contains($doubtful, lower(trim(raw))))
    GROUP BY value
    HAVING max(uses) >= $least
) AS frequent
WHERE NOT EXISTS (SELECT 1 FROM page AS p WHERE p.{{column}} = frequent.value);

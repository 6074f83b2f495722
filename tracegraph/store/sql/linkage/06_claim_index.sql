-- Each claim line with its hull: by serial, else by hull identification number. A serial that
-- was given to several hulls means the one built last before the failure (or the claim); it
-- means none where the claim has no day, a hull of that serial has none, or two share theirs.
INSERT INTO claim_index
WITH shared AS (
    SELECT hull_serial FROM hull_index GROUP BY hull_serial
    HAVING count(*) > 1 AND count(DISTINCT built_on) = count(*)
),
by_day AS (
    SELECT
        hull_serial, hull_id, built_on,
        lead(built_on) OVER (PARTITION BY hull_serial ORDER BY built_on) AS next_built_on
    FROM hull_index WHERE hull_serial IN (SELECT hull_serial FROM shared)
)
SELECT
    CAST(row_number() OVER (ORDER BY c.claim_no, c.line_no, c.source_id, c.source_row) AS INTEGER),
    c.claim_no,
    c.line_no,
    coalesce(by_serial.hull_id, by_hin.hull_id, by_day.hull_id),
    CASE
        WHEN by_serial.hull_id IS NOT NULL THEN 'serial'
        WHEN by_hin.hull_id IS NOT NULL THEN 'hin'
        WHEN by_day.hull_id IS NOT NULL THEN 'serial and day'
    END,
    c.opened_on,
    coalesce(c.failed_on, c.opened_on),
    c.failed_on IS NOT NULL,
    c.symptom,
    c.component,
    c.zone,
    c.safety_class,
    coalesce(c.certainty, 'probable'),
    coalesce(c.solicited, false),
    c.cost,
    c.labour_hours,
    c.repeat_of,
    c.note
FROM (
    SELECT
        *,
        CASE
            WHEN regexp_matches(letters, '^[A-Z]{2}[A-Z0-9]{12}$') THEN substr(letters, 3)
            ELSE letters
        END AS hin_key
    FROM (SELECT *, regexp_replace(upper(hull_serial), '[^A-Z0-9]', '', 'g') AS letters FROM meant_claims)
) AS c
LEFT JOIN hull_by_serial AS by_serial ON by_serial.hull_serial = c.hull_serial
LEFT JOIN hull_by_hin AS by_hin ON by_hin.hin_key = c.hin_key
LEFT JOIN by_day
    ON by_day.hull_serial = c.hull_serial
    AND coalesce(c.failed_on, c.opened_on) >= by_day.built_on
    AND (by_day.next_built_on IS NULL OR coalesce(c.failed_on, c.opened_on) < by_day.next_built_on);

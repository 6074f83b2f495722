-- Each claim line with its hull: by serial, else by hull identification number.
INSERT INTO claim_index
SELECT
    CAST(row_number() OVER (ORDER BY c.claim_no, c.line_no, c.source_id, c.source_row) AS INTEGER),
    c.claim_no,
    c.line_no,
    coalesce(by_serial.hull_id, by_hin.hull_id),
    CASE WHEN by_serial.hull_id IS NOT NULL THEN 'serial' WHEN by_hin.hull_id IS NOT NULL THEN 'hin' END,
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
LEFT JOIN hull_by_hin AS by_hin ON by_hin.hin_key = c.hin_key;

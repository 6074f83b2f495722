-- Each hull's number inside the store, in the order of serials, and the ways to reach it.
-- A job number or hull identification number that two hulls share reaches neither.
CREATE TEMP TABLE hull_numbers AS
SELECT
    CAST(row_number() OVER (ORDER BY hull_serial, completed_on, hin, source_id, source_row) AS INTEGER) AS hull_id,
    *,
    CASE
        WHEN regexp_matches(letters, '^[A-Z]{2}[A-Z0-9]{12}$') THEN substr(letters, 3)
        ELSE letters
    END AS hin_key
FROM (
    SELECT *, nullif(regexp_replace(upper(hin), '[^A-Z0-9]', '', 'g'), '') AS letters
    FROM hulls
);

CREATE TEMP TABLE hull_by_serial AS
SELECT hull_serial, any_value(hull_id) AS hull_id
FROM hull_numbers GROUP BY hull_serial HAVING count(*) = 1;

-- A serial that was given to several hulls: the days on which work is believed to have been
-- done on each. That is a year up to its completion, and a year after it as far as the next
-- one was not yet begun; a day that could belong to two of them belongs to neither. None of
-- them is believed where one has no day, or two share theirs.
CREATE TEMP TABLE hull_terms AS
WITH dated AS (
    SELECT hull_serial, hull_id, coalesce(completed_on, shipped_on, in_service_on) AS day
    FROM hull_numbers
),
shared AS (
    SELECT hull_serial FROM dated
    GROUP BY hull_serial HAVING count(*) > 1 AND count(DISTINCT day) = count(*)
)
SELECT
    hull_serial, hull_id,
    greatest(day - 365, lag(day) OVER terms + 366) AS first_day,
    least(day + 365, lead(day) OVER terms - 366) AS last_day
FROM dated
WHERE hull_serial IN (SELECT hull_serial FROM shared)
WINDOW terms AS (PARTITION BY hull_serial ORDER BY day);

CREATE TEMP TABLE hull_by_job AS
SELECT job_no, any_value(hull_id) AS hull_id
FROM hull_numbers WHERE job_no IS NOT NULL GROUP BY job_no HAVING count(*) = 1;

CREATE TEMP TABLE hull_by_hin AS
SELECT hin_key, any_value(hull_id) AS hull_id
FROM hull_numbers WHERE hin_key IS NOT NULL GROUP BY hin_key HAVING count(*) = 1;

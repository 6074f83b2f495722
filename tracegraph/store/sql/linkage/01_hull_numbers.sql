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

CREATE TEMP TABLE hull_by_job AS
SELECT job_no, any_value(hull_id) AS hull_id
FROM hull_numbers WHERE job_no IS NOT NULL GROUP BY job_no HAVING count(*) = 1;

CREATE TEMP TABLE hull_by_hin AS
SELECT hin_key, any_value(hull_id) AS hull_id
FROM hull_numbers WHERE hin_key IS NOT NULL GROUP BY hin_key HAVING count(*) = 1;

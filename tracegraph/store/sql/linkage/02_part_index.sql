-- One part with its hull, and its mold by its present number. A part without a day under a
-- number that two molds bore one after the other has no known mold. A serial that several hulls
-- bore is told apart by the day of the pull, else of the first work on the part.
INSERT INTO part_index
WITH first_work AS (
    SELECT part_serial, min(started_at) AS started_at
    FROM meant_operations WHERE part_serial IS NOT NULL AND EXISTS (SELECT 1 FROM hull_terms)
    GROUP BY part_serial
)
SELECT
    CAST(row_number() OVER (ORDER BY parts.part_serial, parts.source_id, parts.source_row) AS INTEGER),
    parts.part_serial,
    parts.part,
    coalesce(by_serial.hull_id, by_job.hull_id, by_day.hull_id),
    CASE
        WHEN mold_names.given_again_at IS NULL THEN coalesce(mold_names.present, parts.mold_no)
        WHEN parts.pulled_at < mold_names.given_again_at THEN mold_names.present
        WHEN parts.pulled_at IS NOT NULL THEN parts.mold_no
    END,
    parts.pull_no,
    parts.pulled_at
FROM meant_parts AS parts
LEFT JOIN hull_by_serial AS by_serial ON by_serial.hull_serial = parts.hull_serial
LEFT JOIN hull_by_job AS by_job ON by_job.job_no = parts.job_no
LEFT JOIN mold_names ON mold_names.old = parts.mold_no
LEFT JOIN first_work ON first_work.part_serial = parts.part_serial
LEFT JOIN hull_terms AS by_day
    ON by_day.hull_serial = parts.hull_serial
    AND CAST(coalesce(parts.pulled_at, first_work.started_at) AS DATE) BETWEEN by_day.first_day AND by_day.last_day;

CREATE TEMP TABLE part_by_serial AS
SELECT part_serial, any_value(part_id) AS part_id, any_value(part) AS part, any_value(hull_id) AS hull_id
FROM part_index GROUP BY part_serial HAVING count(*) = 1;

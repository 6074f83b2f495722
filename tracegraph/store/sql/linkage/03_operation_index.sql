-- Each operation with its hull: through the part when it names one, else by hull or job, else
-- by its day among the hulls that bore the serial.
INSERT INTO operation_index
SELECT
    CAST(row_number() OVER (ORDER BY o.operation_id, o.source_id, o.source_row) AS INTEGER),
    o.operation_id,
    coalesce(by_part.hull_id, by_serial.hull_id, by_job.hull_id, by_day.hull_id),
    by_part.part_id,
    CASE
        WHEN by_part.part_id IS NOT NULL THEN by_part.part
        WHEN o.part_serial IS NULL THEN 'hull'
    END,
    o.step,
    o.station,
    o.equipment,
    o.operator,
    o.crew,
    o.shift,
    o.started_at,
    o.finished_at,
    o.attempt
FROM meant_operations AS o
LEFT JOIN part_by_serial AS by_part ON by_part.part_serial = o.part_serial
LEFT JOIN hull_by_serial AS by_serial ON by_serial.hull_serial = o.hull_serial
LEFT JOIN hull_by_job AS by_job ON by_job.job_no = o.job_no
LEFT JOIN hull_terms AS by_day
    ON by_day.hull_serial = o.hull_serial
    AND CAST(o.started_at AS DATE) BETWEEN by_day.first_day AND by_day.last_day;

CREATE TEMP TABLE operation_by_id AS
SELECT operation_id, any_value(operation_no) AS operation_no
FROM operation_index GROUP BY operation_id HAVING count(*) = 1;

INSERT INTO component_index
SELECT
    CAST(row_number() OVER (
        ORDER BY c.component, c.serial_no, c.hull_serial, c.job_no, c.source_id, c.source_row
    ) AS INTEGER),
    coalesce(by_serial.hull_id, by_job.hull_id, by_day.hull_id),
    c.component,
    c.serial_no,
    c.supplier,
    CASE WHEN d.lot_no IS NULL THEN c.lot_no END,
    c.fitted_at,
    c.fitted_by
FROM components AS c
LEFT JOIN undecided_lots AS d ON d.material = c.component AND d.lot_no = c.lot_no
LEFT JOIN hull_by_serial AS by_serial ON by_serial.hull_serial = c.hull_serial
LEFT JOIN hull_by_job AS by_job ON by_job.job_no = c.job_no
LEFT JOIN hull_terms AS by_day
    ON by_day.hull_serial = c.hull_serial
    AND CAST(c.fitted_at AS DATE) BETWEEN by_day.first_day AND by_day.last_day;

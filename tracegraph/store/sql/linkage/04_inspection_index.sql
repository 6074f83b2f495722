-- Each check with its hull: through the part when it names one, else by hull or job, else by
-- its day among the hulls that bore the serial. A job or part serial that two share leads to
-- neither.
INSERT INTO inspection_index
SELECT
    i.inspection_id,
    CASE
        WHEN i.part_serial IS NOT NULL THEN by_part.hull_id
        ELSE coalesce(by_serial.hull_id, by_job.hull_id, by_day.hull_id)
    END,
    by_part.part_id,
    CASE WHEN i.part_serial IS NOT NULL THEN by_part.part ELSE 'hull' END
FROM inspections AS i
LEFT JOIN part_by_serial AS by_part ON by_part.part_serial = i.part_serial
LEFT JOIN hull_by_serial AS by_serial ON by_serial.hull_serial = i.hull_serial
LEFT JOIN hull_by_job AS by_job ON by_job.job_no = i.job_no
LEFT JOIN hull_terms AS by_day
    ON by_day.hull_serial = i.hull_serial
    AND CAST(i."at" AS DATE) BETWEEN by_day.first_day AND by_day.last_day
ORDER BY i.inspection_id;

-- What names a serial that several hulls bore and could not be placed, said aloud.
DELETE FROM remarks WHERE kind = 'undecided by day';

INSERT INTO remarks
SELECT NULL, what, 'undecided by day', count(*),
    concat(count(*), ' ', what, ' name a hull serial that was given twice, and their day does not tell which hull is meant, such as ', min(record))
FROM (
    SELECT 'parts' AS what, p.part_serial AS record, p.hull_serial
    FROM meant_parts AS p JOIN part_index AS x USING (part_serial)
    WHERE x.hull_id IS NULL
    UNION ALL
    SELECT 'operations', o.operation_id, o.hull_serial
    FROM meant_operations AS o JOIN operation_index AS x USING (operation_id)
    WHERE x.hull_id IS NULL
    UNION ALL
    SELECT 'components', coalesce(c.serial_no, c.component), c.hull_serial
    FROM components AS c
    WHERE NOT EXISTS (SELECT 1 FROM hull_by_job AS j WHERE j.job_no = c.job_no)
        AND NOT EXISTS (
            SELECT 1 FROM hull_terms AS t
            WHERE t.hull_serial = c.hull_serial AND CAST(c.fitted_at AS DATE) BETWEEN t.first_day AND t.last_day
        )
    UNION ALL
    SELECT 'inspections', i.inspection_id, i.hull_serial
    FROM inspections AS i JOIN inspection_index AS x USING (inspection_id)
    WHERE x.hull_id IS NULL
)
WHERE hull_serial IN (SELECT hull_serial FROM hull_numbers GROUP BY hull_serial HAVING count(*) > 1)
GROUP BY what;

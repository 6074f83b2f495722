-- Number of a hull by its serial and job.
SELECT hull_id FROM hull_index
WHERE hull_serial = $hull_serial AND job_no IS NOT DISTINCT FROM $job_no
ORDER BY built_on DESC NULLS LAST, hull_id DESC;

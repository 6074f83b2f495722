-- Claims whose failure, or opening, lies before their hull was finished.
INSERT INTO remarks
SELECT c.source_id, 'claims', 'claim before build', count(*),
    concat(any_value(s.name), ': ', count(*), ' claims failed or were opened before their hull was finished, such as ', min(c.claim_no))
FROM claims AS c
JOIN (
    SELECT number, min(completed_on) AS completed_on
    FROM (SELECT unnest([hull_serial, hin]) AS number, completed_on FROM hulls)
    WHERE number IS NOT NULL
    GROUP BY number
) AS h ON h.number = c.hull_serial
JOIN sources AS s ON s.source_id = c.source_id
WHERE least(c.opened_on, coalesce(c.failed_on, c.opened_on)) < h.completed_on
GROUP BY c.source_id;

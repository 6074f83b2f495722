-- Claims that were opened before their hull was finished.
INSERT INTO remarks
SELECT c.source_id, 'claims', 'claim before build', count(*),
    concat(any_value(s.name), ': ', count(*), ' claims were opened before their hull was finished, such as ', min(c.claim_no))
FROM claims AS c
JOIN (SELECT hull_serial, min(completed_on) AS completed_on FROM hulls GROUP BY hull_serial) AS h USING (hull_serial)
JOIN sources AS s ON s.source_id = c.source_id
WHERE c.opened_on < h.completed_on
GROUP BY c.source_id;

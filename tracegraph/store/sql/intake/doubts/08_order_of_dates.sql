-- Days that lie the wrong way round within one record, and claims of days to come.
INSERT INTO remarks
SELECT d.source_id, d.table_name, 'order of days', count(*),
    concat(any_value(s.name), ': ', count(*), ' ', d.table_name, ' ', d.what, ', such as ', min(d.record))
FROM (
    SELECT source_id, 'hulls' AS table_name, hull_serial AS record, 'left the plant before they were finished' AS what
    FROM hulls WHERE shipped_on < completed_on
    UNION ALL
    SELECT source_id, 'hulls', hull_serial, 'were delivered before they left the plant'
    FROM hulls WHERE in_service_on < coalesce(shipped_on, completed_on)
    UNION ALL
    SELECT source_id, 'hulls', hull_serial, 'left observation before they were finished'
    FROM hulls WHERE exit_on < completed_on
    UNION ALL
    SELECT source_id, 'operations', operation_id, 'ended before they began'
    FROM operations WHERE finished_at < started_at
    UNION ALL
    SELECT source_id, 'lots', lot_no, 'were received or expired before they were made'
    FROM lots WHERE least(received_on, expires_on) < made_on
    UNION ALL
    SELECT source_id, 'claims', claim_no, 'were opened before the failure'
    FROM claims WHERE opened_on < failed_on
    UNION ALL
    SELECT source_id, 'claims', claim_no, 'failed or were opened after this load'
    FROM claims WHERE greatest(opened_on, failed_on) > current_date
) AS d
JOIN sources AS s USING (source_id)
GROUP BY d.source_id, d.table_name, d.what;

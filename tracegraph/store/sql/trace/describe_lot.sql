SELECT concat_ws('|', material, lot_no) AS key, made_on, received_on, expires_on
FROM lots
WHERE concat_ws('|', material, lot_no) IN (SELECT unnest(CAST($keys AS VARCHAR[])))
ORDER BY key, received_on, source_id, source_row;

SELECT hull_serial AS key, hin, model, place, dealer, built_on, shipped_on, delivered_on
FROM hull_index
WHERE hull_serial IN (SELECT unnest(CAST($keys AS VARCHAR[])))
ORDER BY hull_id;

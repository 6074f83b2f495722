-- Number of the hull with a serial; two rows when the serial was used twice.
SELECT hull_id, hull_serial, model FROM hull_index WHERE hull_serial = $hull_serial ORDER BY hull_id;

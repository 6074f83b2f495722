-- Write the zone behind times that the order of rows tells apart.
UPDATE page AS p SET {{column}} = z.text FROM zoned AS z WHERE z.source_row = {{row}};

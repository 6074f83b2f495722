-- Whether a number that is said to be meant exists on the other side of its link.
SELECT CASE $link
    WHEN 'claim to hull' THEN EXISTS (SELECT 1 FROM hull_index WHERE hull_serial = $meant OR hin_key = $meant)
    WHEN 'part to hull' THEN EXISTS (SELECT 1 FROM hull_index WHERE hull_serial = $meant OR job_no = $meant)
    WHEN 'operation to part' THEN EXISTS (SELECT 1 FROM part_index WHERE part_serial = $meant)
    WHEN 'use to lot' THEN EXISTS (SELECT 1 FROM lots WHERE concat(material, '|', lot_no) = $meant)
END;

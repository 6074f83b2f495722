-- Whether a number stands in the records on the near side of its link.
SELECT CASE $link
    WHEN 'claim to hull' THEN EXISTS (SELECT 1 FROM claims WHERE hull_serial = $written)
    WHEN 'part to hull' THEN EXISTS (SELECT 1 FROM parts WHERE hull_serial = $written OR job_no = $written)
    WHEN 'operation to part' THEN EXISTS (SELECT 1 FROM operations WHERE part_serial = $written)
    WHEN 'use to lot' THEN EXISTS (SELECT 1 FROM usages WHERE concat(material, '|', lot_no) = $written)
END;

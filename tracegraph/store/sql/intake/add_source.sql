INSERT INTO sources
VALUES (
    $source_id, $name, $sheet, $sha256, $reading, $load_no, $encoding,
    $seen, $seen - $set_aside - $furniture, $set_aside, 0, $furniture
);

INSERT INTO sources
VALUES (
    $source_id, $name, $sheet, $sha256, $reading, $load_no, $encoding, $delimiter, $header_row,
    CAST(to_json($headers) AS VARCHAR),
    $seen, $seen - $set_aside - $furniture, $set_aside, 0, $furniture
);

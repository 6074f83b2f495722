-- All rows of a text file below its header, as text, in the order of the file.
CREATE TEMP TABLE page AS
SELECT *
FROM read_csv(
    $path,
    auto_detect = false,
    all_varchar = true,
    header = false,
    skip = $skipped,
    delim = $delimiter,
    quote = '"',
    escape = '"',
    strict_mode = true,
    compression = $compression,
    columns = $columns
);

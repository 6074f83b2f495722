-- One row per file, sheet or query: where each of its rows went.
SELECT source_id, name, sheet, load_no, encoding, seen, loaded, set_aside, repeats, furniture
FROM sources
ORDER BY name, sheet NULLS FIRST, source_id;

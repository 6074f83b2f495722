-- How many rows of the page may be no records: a quick look before the close one.
SELECT count(*)
FROM page
WHERE coalesce({{texts}}) IS NULL
    OR c0 = $first
    OR regexp_matches(coalesce({{texts}}), '^(?i)(grand |sub)?(total|sum)');

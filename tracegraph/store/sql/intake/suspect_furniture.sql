-- How many rows of the page may be no records: a quick look before the close one.
SELECT count(*)
FROM page
WHERE coalesce({{texts}}) IS NULL
    OR lower(trim(c0)) = $first
    OR regexp_matches(coalesce({{texts}}), '^(?i)\s*((grand |sub ?)?(total|sum)|[*= -]*(page [0-9]|printed |generated |exported |end of |[0-9]+ (rows|records)|(rows|records|count) ?[:=]))');

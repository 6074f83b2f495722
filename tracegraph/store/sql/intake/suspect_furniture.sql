-- How many rows of the page may be no records: a quick look before the close one. A text
-- that begins with a digit and holds no space needs none of the patterns, and none that
-- begins with a visible letter is blank.
SELECT count(*)
FROM page
WHERE coalesce({{texts}}) IS NULL
    OR (coalesce({{texts}}) NOT BETWEEN '!' AND '~' AND bare(coalesce({{texts}})) = '')
    OR (contains(lower(c0), $first) AND bare(c0) = $first)
    OR (
        (coalesce({{texts}}) NOT BETWEEN '0' AND ':' OR contains(coalesce({{texts}}), ' '))
        AND regexp_matches(coalesce({{texts}}), '^(?i)\s*((grand |sub[- ]?|over ?all |zwischen)?(total|sum|count|average|avg|mean|gesamt|anzahl)|[-*=_#~. ]{3,}$|[-*=( ]*(page [0-9]|printed |generated |exported |end of |[0-9]+ (rows|records)|(rows|records|count|number of [a-z]+) ?[:=]))')
    );

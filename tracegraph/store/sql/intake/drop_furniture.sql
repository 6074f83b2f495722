-- Take rows that are no records off the page: blank ones, the header once more, totals, and
-- what a report prints at its end. A total begins with the word, and whatever else it holds
-- are numbers; an end line holds one text alone.
DELETE FROM page
WHERE coalesce({{texts}}) IS NULL
    OR list_transform([{{texts}}], lambda x: lower(trim(x))) = $header
    OR (
        regexp_full_match(lower(trim(coalesce({{texts}}))), '(grand |sub ?)?(total|sum)s?[ :=]*[0-9., ]*')
        AND len(list_filter(
            [{{texts}}],
            lambda x: x IS NOT NULL
                AND NOT regexp_full_match(lower(trim(x)), '((grand |sub ?)?(total|sum)s?[ :=]*)?[-+0-9.,%$€ ]*')
        )) = 0
    )
    OR (
        regexp_matches(lower(trim(coalesce({{texts}}))), '^[*= -]*(page [0-9]|printed |generated |exported |end of |[0-9]+ (rows|records)|(rows|records|count) ?[:=])')
        AND len(list_filter([{{texts}}], lambda x: x IS NOT NULL)) = 1
        AND $width > 2
    );

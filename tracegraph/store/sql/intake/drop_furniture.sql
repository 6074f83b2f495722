-- Take rows that are no records off the page: blank ones, the header once more, totals. A
-- total begins with the word, and whatever else it holds are numbers.
DELETE FROM page
WHERE coalesce({{texts}}) IS NULL
    OR ([{{texts}}] = $header)
    OR (
        regexp_full_match(lower(trim(coalesce({{texts}}))), '(grand |sub ?)?(total|sum)s?[ :=]*[0-9., ]*')
        AND len(list_filter(
            [{{texts}}],
            lambda x: x IS NOT NULL
                AND NOT regexp_full_match(lower(trim(x)), '((grand |sub ?)?(total|sum)s?[ :=]*)?[-+0-9.,%$€ ]*')
        )) = 0
    );

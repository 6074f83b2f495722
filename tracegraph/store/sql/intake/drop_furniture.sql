-- Take rows that are no records off the page: blank ones, the header once more, totals.
DELETE FROM page
WHERE coalesce({{texts}}) IS NULL
    OR ([{{texts}}] = $header)
    OR (
        regexp_matches(lower(coalesce({{texts}})), '^(grand |sub)?(total|sum)s?\b')
        AND len(list_filter([{{texts}}], lambda x: x IS NOT NULL)) * 2 <= greatest($width, 3)
    );

-- Rows of the page that are no records: blank ones, the header once more, totals, and what a
-- report prints at its end. A total begins with the word, and whatever else it holds are
-- numbers; an end line holds one text alone.
CREATE OR REPLACE TEMP TABLE furniture AS
SELECT p.rowid AS row_key, {{row}} AS source_row, coalesce({{texts}}) AS text
FROM page AS p
WHERE bare(concat({{texts}})) = ''
    OR list_transform([{{texts}}], lambda x: bare(x)) = $header
    OR (
        regexp_full_match(lower(trim(coalesce({{texts}}))), {{total}})
        AND len(list_filter(
            [{{texts}}],
            lambda x: x IS NOT NULL
                AND NOT regexp_full_match(lower(trim(x)), concat('(', {{total}}, ')?[-+0-9.,%$€ ]*'))
        )) = 0
    )
    OR (
        regexp_matches(lower(trim(coalesce({{texts}}))), '^[-*=_#~. ]{3,}$|^[-*=( ]*(page [0-9]|printed |generated |exported |end of |[0-9]+ (rows|records)|(rows|records|count|number of [a-z]+) ?[:=])')
        AND len(list_filter([{{texts}}], lambda x: x IS NOT NULL)) = 1
        AND $width > 2
    );

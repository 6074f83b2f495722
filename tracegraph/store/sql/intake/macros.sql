-- What counts as plain text of each role: text that is stored as it stands. Everything
-- else is looked at value by value. Missing words are given in lower case, with what they
-- may begin with. Costly tests stand in CASE: elsewhere every row would pay for them.
CREATE OR REPLACE TEMP MACRO present(x, missing, longest, starts) AS
    CASE
        WHEN length(x) <= longest AND (x > '~' OR contains(starts, x[1])) THEN NOT list_contains(missing, lower(x))
        ELSE true
    END;

-- Text that may be a number as a spreadsheet writes very large and very small ones.
CREATE OR REPLACE TEMP MACRO exponent(x) AS
    contains(x, '+') OR CASE WHEN contains(x, 'E-0') THEN x[1] BETWEEN '0' AND '9' ELSE false END;

CREATE OR REPLACE TEMP MACRO plain_name(x) AS
    regexp_full_match(x, '[!-&(-~][!-~]*( [!-~]+)*') AND NOT exponent(x) AND NOT starts_with(x, '="');

-- The same for text that is known to be printable ASCII.
CREATE OR REPLACE TEMP MACRO plain_printable_name(x) AS
    NOT exponent(x) AND NOT starts_with(x, '''') AND NOT starts_with(x, '="')
    AND CASE WHEN contains(x, ' ') THEN regexp_full_match(x, '[^ ]+( [^ ]+)*') ELSE true END;

CREATE OR REPLACE TEMP MACRO plain_text(x) AS
    x = trim(x, concat(' ', chr(9), chr(10), chr(13), chr(160))) AND NOT starts_with(x, '''');

CREATE OR REPLACE TEMP MACRO plain_number(x) AS
    length(x) <= 40 AND regexp_full_match(x, '[+-]?[0-9]+([.][0-9]+)?');

CREATE OR REPLACE TEMP MACRO plain_number_with_comma(x) AS
    length(x) <= 40 AND regexp_full_match(x, '[+-]?[0-9]+(,[0-9]+)?');

CREATE OR REPLACE TEMP MACRO plain_whole(x) AS
    regexp_full_match(x, '[+-]?[0-9]{1,15}');

-- Words such as epoch would be read as moments too: a moment begins with a digit.
CREATE OR REPLACE TEMP MACRO plain_moment(x, formats, earliest, latest) AS
    x[1] BETWEEN '0' AND '9' AND coalesce(year(try_strptime(x, formats)) BETWEEN earliest AND latest, false);

CREATE OR REPLACE TEMP MACRO ordinary_day(x, formats, clock_changes) AS
    NOT list_contains(clock_changes, CAST(try_strptime(x, formats) AS DATE));

CREATE OR REPLACE TEMP MACRO to_utc(moment, zone) AS
    timezone('UTC', timezone(zone, moment));

CREATE OR REPLACE TEMP MACRO in_unit(value, factor, shift) AS
    CASE WHEN factor = 1.0 AND shift = 0.0 THEN value ELSE round((value - shift) * factor, 9) END;

CREATE OR REPLACE TEMP MACRO number_text(x) AS
    CASE
        WHEN x = trunc(x) AND abs(x) < 9007199254740992 THEN CAST(CAST(x AS BIGINT) AS VARCHAR)
        WHEN abs(x) >= 9007199254740992 AND NOT contains(CAST(x AS VARCHAR), 'e') THEN format('{:.15E}', x)
        ELSE upper(CAST(x AS VARCHAR))
    END;

-- A whole decimal without the zeros of its scale.
CREATE OR REPLACE TEMP MACRO decimal_text(x) AS
    regexp_replace(CAST(x AS VARCHAR), '\.0+$', '');

-- Text as it is compared with a header or a word: without spaces, control characters and
-- byte-order marks around it.
CREATE OR REPLACE TEMP MACRO bare(x) AS
    lower(regexp_replace(x, '^[\s\x00-\x1f\x{a0}\x{feff}]+|[\s\x00-\x1f\x{a0}\x{feff}]+$', '', 'g'));

-- What one text proves about the column it stands in: 31/12/2025 can only be day first.
CREATE OR REPLACE TEMP MACRO date_part_of(x, number) AS
    TRY_CAST(regexp_extract(x, '^\s*(\d{1,2})[-/. ](\d{1,2})[-/. ]\d{2,4}(\D.*)?$', number) AS INTEGER);

CREATE OR REPLACE TEMP MACRO proves_day_first(x) AS
    coalesce(date_part_of(x, 1) BETWEEN 13 AND 31 AND date_part_of(x, 2) BETWEEN 1 AND 12, false);

CREATE OR REPLACE TEMP MACRO proves_month_first(x) AS
    coalesce(date_part_of(x, 2) BETWEEN 13 AND 31 AND date_part_of(x, 1) BETWEEN 1 AND 12, false);

-- 21,5 and 2.150,75 can only have a decimal comma; 2,310 proves nothing.
CREATE OR REPLACE TEMP MACRO proves_decimal_comma(x) AS
    regexp_full_match(trim(x), '[+-]?(\d+,(\d{1,2}|\d{4,})|0,\d+|[1-9]\d{0,2}(\.\d{3})+,\d+)');

CREATE OR REPLACE TEMP MACRO proves_decimal_point(x) AS
    regexp_full_match(trim(x), '[+-]?(\d+\.(\d{1,2}|\d{4,})|0?\.\d+|[1-9]\d{0,2}(,\d{3})+\.\d+)');

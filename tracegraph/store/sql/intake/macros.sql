-- What counts as plain text of each role: text that is stored as it stands. Everything
-- else is looked at value by value. Missing words are given in lower case.
CREATE OR REPLACE TEMP MACRO present(x, missing, longest) AS
    length(x) > longest OR NOT list_contains(missing, lower(x));

CREATE OR REPLACE TEMP MACRO plain_name(x) AS
    regexp_full_match(x, '[!-~]+( [!-~]+)*') AND NOT contains(x, 'E+');

-- The same for text that is known to be printable ASCII.
CREATE OR REPLACE TEMP MACRO plain_printable_name(x) AS
    (NOT contains(x, ' ') OR regexp_full_match(x, '[^ ]+( [^ ]+)*')) AND NOT contains(x, 'E+');

CREATE OR REPLACE TEMP MACRO plain_number(x) AS
    regexp_full_match(x, '[+-]?[0-9]+([.][0-9]+)?');

CREATE OR REPLACE TEMP MACRO plain_number_with_comma(x) AS
    regexp_full_match(x, '[+-]?[0-9]+(,[0-9]+)?');

CREATE OR REPLACE TEMP MACRO plain_whole(x) AS
    regexp_full_match(x, '[+-]?[0-9]{1,15}');

CREATE OR REPLACE TEMP MACRO plain_moment(x, formats, earliest, latest) AS
    year(try_strptime(x, formats)) BETWEEN earliest AND latest;

CREATE OR REPLACE TEMP MACRO ordinary_day(x, formats, clock_changes) AS
    NOT list_contains(clock_changes, CAST(try_strptime(x, formats) AS DATE));

CREATE OR REPLACE TEMP MACRO to_utc(moment, zone) AS
    timezone('UTC', timezone(zone, moment));

CREATE OR REPLACE TEMP MACRO in_unit(value, factor, shift) AS
    CASE WHEN factor = 1.0 AND shift = 0.0 THEN value ELSE round((value - shift) * factor, 9) END;

CREATE OR REPLACE TEMP MACRO number_text(x) AS
    CASE WHEN x = trunc(x) AND abs(x) <= 9007199254740992 THEN CAST(CAST(x AS BIGINT) AS VARCHAR) ELSE CAST(x AS VARCHAR) END;

-- Texts that may hold an e-mail address, a phone number or a street address.
SELECT DISTINCT {{column}}
FROM page
WHERE contains({{column}}, '@')
    OR regexp_matches({{column}}, '\d[\d ().\-/]{5,}\d')
    OR regexp_matches({{column}}, '\d+[a-zA-Z]? +[A-Za-z]')
    OR regexp_matches({{column}}, '[a-zß.] *\d');

-- Identities that a spreadsheet turned into numbers before they came.
INSERT INTO remarks
SELECT source_id, table_name, 'spoiled identities', sum(affected),
    concat(any_value(s.name), ': ', sum(affected), ' values of ', column_name, ' look like ', min(raw), ', spoiled by a spreadsheet; ask for an export as text')
FROM cleaned_values AS c
JOIN sources AS s USING (source_id)
WHERE rule = 'likely spoiled by a spreadsheet'
GROUP BY source_id, table_name, column_name;

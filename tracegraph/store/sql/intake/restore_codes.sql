-- A word that looks missing and is defined as a code is the code.
CREATE OR REPLACE TEMP TABLE codes AS
SELECT DISTINCT lower({{code}}) AS word, {{code}} AS code
FROM {{master}}
WHERE list_contains($doubtful, lower({{code}}));

UPDATE {{table}} AS t
SET {{field}} = codes.code
FROM cleaned_values AS c JOIN codes ON codes.word = lower(trim(c.raw))
WHERE c.table_name = $table_name AND c.column_name = $column_name AND c.rule = 'missing word'
    AND c.source_id = t.source_id AND c.source_row = t.source_row AND t.{{field}} IS NULL;

DELETE FROM cleaned_values
WHERE table_name = $table_name AND column_name = $column_name AND rule = 'missing word'
    AND lower(trim(raw)) IN (SELECT word FROM codes);

DROP TABLE codes;

-- Values of one column that are stored otherwise than written, with the text as written. A
-- spelling that all rows share stands once, without a row.
INSERT INTO cleaned_values
SELECT $source_id, {{row}}, $table_name, $column_name, lookup.raw, lookup.value, coalesce(lookup.rule, concat('not ', lookup.problem)), 1
FROM page AS p
JOIN {{lookup}} AS lookup ON lookup.raw = p.{{column}}
WHERE (lookup.rule IS NOT NULL OR lookup.problem IS NOT NULL) AND NOT list_contains($summed, lookup.raw)
UNION ALL
SELECT $source_id, NULL, $table_name, $column_name, raw, value, coalesce(rule, concat('not ', problem)), uses
FROM {{lookup}}
WHERE (rule IS NOT NULL OR problem IS NOT NULL) AND list_contains($summed, raw);

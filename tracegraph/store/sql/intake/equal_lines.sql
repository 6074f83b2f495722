-- Lines of one export that say the same as another line of it and are kept.
INSERT INTO equal_lines
SELECT $table_name, source_id, sum(copies - 1)
FROM (
    SELECT any_value(source_id) AS source_id, count(*) AS copies
    FROM {{table}}
    GROUP BY hash({{fields}}, source_id)
    HAVING count(*) > 1
)
GROUP BY source_id;

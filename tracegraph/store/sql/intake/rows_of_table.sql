SELECT '{{table}}' AS name, EXISTS (SELECT 1 FROM {{table}}) AS filled

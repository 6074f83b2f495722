-- Whether small and capital letters occur in a column; each search ends where it finds one.
SELECT
    EXISTS (SELECT 1 FROM {{table}} WHERE {{field}} <> upper({{field}})),
    EXISTS (SELECT 1 FROM {{table}} WHERE {{field}} <> lower({{field}}));

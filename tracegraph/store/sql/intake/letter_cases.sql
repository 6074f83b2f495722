-- Whether small and capital letters occur in a column.
SELECT bool_or({{field}} <> upper({{field}})), bool_or({{field}} <> lower({{field}}))
FROM {{table}};

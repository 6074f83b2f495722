-- Times on days when clocks change, in the order of the page.
SELECT {{row}} AS source_row, {{column}}
FROM page AS p
WHERE list_contains($clock_changes, CAST(try_strptime({{column}}, $formats) AS DATE))
ORDER BY source_row;

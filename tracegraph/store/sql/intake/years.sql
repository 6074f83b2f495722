-- Rows per year of one column of dates.
SELECT year(try_strptime({{column}}, ${{formats}})), count(*)
FROM page AS p
WHERE try_strptime({{column}}, ${{formats}}) IS NOT NULL
GROUP BY ALL;

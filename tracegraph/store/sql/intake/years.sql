-- Rows per year of one column of dates, of years that are believed at all.
SELECT year(try_strptime({{column}}, ${{formats}})) AS year, count(*)
FROM page AS p
WHERE plain_moment({{column}}, ${{formats}}, ${{earliest}}, ${{latest}})
GROUP BY ALL;

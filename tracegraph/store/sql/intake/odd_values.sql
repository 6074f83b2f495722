-- Texts of one column that need a closer look, with the rows that hold them.
SELECT {{column}}, count(*) FROM page AS p WHERE NOT ({{plain}}) GROUP BY ALL;

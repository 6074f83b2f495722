-- For each column that is read: blank rows, rows that need a closer look, and for dates
-- the first and last year.
SELECT {{counts}} FROM page AS p;

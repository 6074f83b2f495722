-- First and last time of a page.
SELECT least({{first}}), greatest({{last}}) FROM page AS p;

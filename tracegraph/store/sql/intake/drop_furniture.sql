-- Take the rows that are no records off the page.
DELETE FROM page WHERE rowid IN (SELECT row_key FROM furniture);

SELECT count(*) FROM page;

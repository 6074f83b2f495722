SELECT count(*) FROM page WHERE {{condition}};

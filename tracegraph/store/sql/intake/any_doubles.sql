SELECT count(*) FROM doubles;

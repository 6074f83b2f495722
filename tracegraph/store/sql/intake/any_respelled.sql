SELECT count(*) FROM respelled;

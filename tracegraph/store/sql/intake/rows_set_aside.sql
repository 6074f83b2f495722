SELECT count(*) FROM set_aside WHERE source_id = $source_id;

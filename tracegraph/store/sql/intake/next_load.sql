SELECT coalesce(max(load_no), 0) + 1 FROM sources;

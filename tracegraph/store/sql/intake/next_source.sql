SELECT coalesce(max(source_id), 0) + 1 FROM sources;

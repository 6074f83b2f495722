SELECT coalesce(max(source_id), 0) FROM sources;

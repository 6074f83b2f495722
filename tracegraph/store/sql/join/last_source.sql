-- By how much the numbers of the next plant's sources are moved.
SELECT coalesce(max(source_id), 0) + 1 FROM sources;

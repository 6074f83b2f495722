-- What was loaded and how: the same for the same records, whatever their order and place.
SELECT DISTINCT sha256, reading FROM sources ORDER BY ALL;

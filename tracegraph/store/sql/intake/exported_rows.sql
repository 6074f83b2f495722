-- Rows set aside, with what is needed to write them as they came.
SELECT s.source_id, s.name, s.sheet, s.encoding, s.delimiter, s.header_row, s.headers,
    concat(left(s.sha256, 12), '/', a.source_row, '/', coalesce(s.sheet, '')) AS token,
    string_agg(DISTINCT a.reason, '; ' ORDER BY a.reason) AS reason, any_value(a.raw) AS raw
FROM set_aside AS a
JOIN sources AS s USING (source_id)
GROUP BY s.source_id, s.name, s.sheet, s.encoding, s.delimiter, s.header_row, s.headers, s.sha256, a.source_row
ORDER BY s.name, s.source_id, a.source_row;

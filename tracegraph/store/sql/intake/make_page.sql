-- Rows of one sheet as text, with their line or sheet row.
CREATE TEMP TABLE page (source_row BIGINT, {{columns}});

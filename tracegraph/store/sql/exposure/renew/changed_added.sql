-- Rows of one record table that came with this load; the others are those of the build before.
CREATE TEMP TABLE changed_{{table}} AS
SELECT {{columns}} FROM {{table}} WHERE source_id > $last_source;

-- Whether a table holds rows of the sources behind a number.
SELECT EXISTS (SELECT 1 FROM {{table}} WHERE source_id > $last_source);

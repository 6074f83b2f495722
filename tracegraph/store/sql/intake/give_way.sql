-- Take records that gave way out of their table.
DELETE FROM {{table}} WHERE rowid IN (SELECT row_key FROM given_way WHERE table_name = $table_name);

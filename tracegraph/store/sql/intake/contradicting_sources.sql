SELECT DISTINCT source_id FROM set_aside WHERE starts_with(reason, 'contradicts ');

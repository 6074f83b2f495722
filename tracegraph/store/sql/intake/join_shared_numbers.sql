-- Lots that an earlier load told apart by their suppliers get back the number as written:
-- what is known now decides anew, whatever came first.
CREATE OR REPLACE TEMP TABLE split_numbers AS
SELECT DISTINCT table_name, source_id, source_row, raw, value
FROM cleaned_values
WHERE rule = 'one number of two suppliers' AND column_name = 'lot_no';

UPDATE usages AS t SET lot_no = s.raw
FROM split_numbers AS s
WHERE s.table_name = 'usages' AND s.source_id = t.source_id AND s.source_row = t.source_row AND s.value = t.lot_no;

UPDATE lots AS t SET lot_no = s.raw
FROM split_numbers AS s
WHERE s.table_name = 'lots' AND s.source_id = t.source_id AND s.source_row = t.source_row AND s.value = t.lot_no;

UPDATE components AS t SET lot_no = s.raw
FROM split_numbers AS s
WHERE s.table_name = 'components' AND s.source_id = t.source_id AND s.source_row = t.source_row AND s.value = t.lot_no;

DELETE FROM cleaned_values WHERE rule = 'one number of two suppliers' AND column_name = 'lot_no';

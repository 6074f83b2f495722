-- Whether a rule of the graph rests on more than the rows that changed: an operation number
-- that two operations bear, a lot number that two suppliers gave, a component whose number in
-- the build is not its place among the records, or a serial that reads like such a number.
SELECT
    (SELECT count(*) FROM operation_index) > (SELECT count(*) FROM operation_by_id)
    OR (SELECT count(*) > count(DISTINCT operation_id) FROM earlier.operation_index)
    OR EXISTS (SELECT 1 FROM cleaned_values WHERE rule = 'one number of two suppliers')
    OR EXISTS (SELECT 1 FROM earlier.cleaned_values WHERE rule = 'one number of two suppliers')
    OR (SELECT count(*) FROM component_index) <> (SELECT count(*) FROM components)
    OR (SELECT count(*) FROM earlier.component_index) <> (SELECT count(*) FROM earlier.components)
    OR EXISTS (SELECT 1 FROM component_index WHERE starts_with(serial_no, 'no serial, '))
    OR EXISTS (SELECT 1 FROM earlier.component_index WHERE starts_with(serial_no, 'no serial, '));

-- Bought items: their lot, supplier, and who fitted them.
INSERT INTO answers
SELECT DISTINCT hull_id, 'component lot', 'hull', component, 'lot', lot_no
FROM component_index WHERE hull_id IN (SELECT hull_id FROM hulls_in_question)
UNION ALL
SELECT DISTINCT hull_id, 'supplier', 'hull', component, 'supplier', supplier
FROM component_index WHERE hull_id IN (SELECT hull_id FROM hulls_in_question)
UNION ALL
SELECT DISTINCT hull_id, 'people', 'hull', component, 'fitted by', fitted_by
FROM component_index WHERE hull_id IN (SELECT hull_id FROM hulls_in_question);

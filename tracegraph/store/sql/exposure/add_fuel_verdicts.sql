-- Verdicts of the rule about the fuel test, one for each hull in question that was tested.
INSERT INTO answers
SELECT hull_id, 'process reading', 'hull', step, thing, level FROM fuel_verdicts
WHERE hull_id IN (SELECT hull_id FROM hulls_in_question);

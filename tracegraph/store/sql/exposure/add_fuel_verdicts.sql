-- Verdicts of the rule about the fuel test, one for each hull tested.
INSERT INTO answers
SELECT hull_id, 'process reading', 'hull', step, thing, level FROM fuel_verdicts;

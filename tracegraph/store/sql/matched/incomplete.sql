-- Hulls whose record of a family is not complete, each once.
SELECT family_id, hull_id FROM exposure WHERE first_row AND NOT complete;

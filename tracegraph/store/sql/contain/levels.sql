-- All answers to one question.
SELECT level_id, level FROM levels WHERE family_id = $family_id ORDER BY level_id;

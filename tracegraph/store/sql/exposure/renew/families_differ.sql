-- Whether a family lost its last answer.
SELECT EXISTS (
    SELECT question_id FROM questions
    EXCEPT
    SELECT question_id FROM replies
);

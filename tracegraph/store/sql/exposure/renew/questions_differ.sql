-- Whether anything is answered that nobody answered before, or under another kind or unit.
SELECT
    EXISTS (
        SELECT 1 FROM known_questions AS k
        WHERE (k.family_id IS NULL OR NOT k.same_kind)
            AND (
                k.question_id IN (SELECT question_id FROM replies WHERE level <> '')
                OR k.question_id IN (SELECT question_id FROM values_measured WHERE value IS NOT NULL)
                OR k.family_id IS NOT NULL
            )
    )
    OR EXISTS (
        SELECT 1
        FROM values_measured AS v JOIN known_questions AS k USING (question_id)
        WHERE v.value IS NOT NULL AND v.unit IS DISTINCT FROM k.unit
    );

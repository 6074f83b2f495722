-- Whether a question applies to a model now and did not before, or the other way round.
SELECT EXISTS (
    SELECT 1 FROM by_model
    WHERE CASE WHEN applies THEN rows_kept <> others ELSE blanks_kept > 0 END
);

-- How each check of a hull or of one of its parts went, over all attempts: a check that was
-- left out, or passed only after a fail, is a suspect of its own.
CREATE TEMP TABLE checks AS
SELECT
    x.hull_id, x.part, i.checkpoint, i."at", i.result,
    row_number() OVER (ORDER BY i."at", i.attempt NULLS FIRST, i.inspection_id, i.source_id, i.source_row) AS place
FROM inspections AS i
JOIN inspection_index AS x USING (inspection_id)
WHERE x.hull_id IS NOT NULL;

INSERT INTO answers
SELECT
    hull_id, 'process reading', part, checkpoint, 'result',
    CASE
        WHEN count(*) FILTER (WHERE result <> 'not done') = 0 THEN 'not done'
        WHEN arg_max(result, place) FILTER (WHERE result <> 'not done') = 'fail' THEN 'failed'
        WHEN bool_or(result = 'fail') THEN 'passed after a fail'
        ELSE 'pass first time'
    END
FROM checks
WHERE hull_id IN (SELECT hull_id FROM hulls_in_question)
GROUP BY hull_id, part, checkpoint;

-- Whether molds were renamed or given again, or are served in ways that they were not before.
SELECT
    EXISTS (
        SELECT 1 FROM changed_mold_events
        WHERE event = 'renamed' OR (event = 'commissioned' AND mold_no IN (SELECT old FROM mold_names))
    )
    OR (SELECT count(DISTINCT event) FROM mold_events WHERE event IN ('waxed', 'repaired'))
        <> (SELECT count(DISTINCT event) FROM earlier.mold_events WHERE event IN ('waxed', 'repaired'));

-- Whether anything was told of before that no added row tells of, or a thing is labelled anew.
SELECT
    EXISTS (FROM gone_things EXCEPT FROM added_things)
    OR EXISTS (FROM gone_steps EXCEPT FROM added_steps)
    OR EXISTS (
        SELECT 1 FROM nodes AS n JOIN added_things AS a ON a.kind = n.kind AND a.key = n.key
        WHERE a.label < n.label
    );

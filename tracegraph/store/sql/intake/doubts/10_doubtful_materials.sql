-- Materials named like a missing word that no table of lots lists: perhaps nothing was written.
INSERT INTO remarks
SELECT u.source_id, 'usages', 'doubtful material', count(*),
    concat(any_value(s.name), ': ', count(*), ' uses are of the material ', u.material, ', which no table of lots lists; perhaps nothing was written down')
FROM usages AS u
JOIN sources AS s USING (source_id)
WHERE u.material IN ('na', 'none', 'null', 'nil', 'nan') AND u.material NOT IN (SELECT material FROM lots)
GROUP BY u.source_id, u.material;

-- Every answer of the given hulls to every question. A null level is a use that was not
-- written down; no row, a question that the hull is not asked.
SELECT e.family_id, e.hull_id, l.level_id, l.level, e.complete
FROM exposure AS e
LEFT JOIN levels AS l USING (level_id)
JOIN families AS f ON f.family_id = e.family_id
WHERE e.hull_id IN (SELECT unnest(CAST($hull_ids AS INTEGER[])))
    AND ($people OR f.kind <> $people_kind)
ORDER BY e.family_id, e.hull_id, l.level_id;

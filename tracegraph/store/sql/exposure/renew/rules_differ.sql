-- Whether what was gathered rests on another rule of the whole plant than before: another
-- usual step before, or another material that arrives through blends.
SELECT
    EXISTS (
        SELECT concat(part, ': ', step, ': hours since ', step_before) FROM usual_before
        EXCEPT
        SELECT family FROM earlier.families
    )
    OR EXISTS (
        SELECT family FROM earlier.families
        WHERE kind = 'timing' AND starts_with(family, concat(part, ': ', step, ': hours since '))
        EXCEPT
        SELECT concat(part, ': ', step, ': hours since ', step_before) FROM usual_before
    )
    OR EXISTS (SELECT 1 FROM carried WHERE NOT by_others)
    OR EXISTS (
        SELECT o.part, o.step, u.material, b.parent_material
        FROM earlier.operation_index AS o
        JOIN earlier.usages AS u USING (operation_id)
        LEFT JOIN meanings AS m ON m.link = 'use to lot' AND m.written = concat(u.material, '|', u.lot_no)
        JOIN blended AS b
            ON b.material = u.material AND b.lot_no = coalesce(split_part(m.meant, '|', 2), u.lot_no)
        WHERE o.hull_id NOT IN (SELECT earlier_id FROM others) AND o.part IS NOT NULL
            AND b.parent_material <> b.material
        EXCEPT
        SELECT part, step, material, parent_material FROM carried
    );

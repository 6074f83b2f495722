-- Keep what gave way: older states as history, contradictions as rows set aside or, when
-- the rest of their row was loaded, as values not taken; then correct the ledgers.
INSERT INTO history
SELECT table_name, source_id, source_row, stamp, content
FROM given_way
WHERE fate = 'older';

INSERT INTO set_aside
SELECT
    g.source_id,
    g.source_row,
    g.table_name,
    NULL,
    NULL,
    concat(
        'contradicts ', k.name, coalesce(' (' || k.sheet || ')', ''), ' row ', g.kept_row,
        ', which has the same identity; mend one of them, or name a stamp column in intake.toml'
    ),
    g.content
FROM given_way AS g
JOIN lost_rows AS l ON l.source_id = g.source_id AND l.source_row = g.source_row
JOIN sources AS k ON k.source_id = g.kept_source
WHERE g.fate = 'conflict' AND l.fate = 'conflict';

INSERT INTO cleaned_values
SELECT g.source_id, g.source_row, g.table_name, '', g.content, NULL,
    concat('contradicts ', k.name, ' row ', g.kept_row), 1
FROM given_way AS g
ANTI JOIN lost_rows AS l ON l.source_id = g.source_id AND l.source_row = g.source_row
JOIN sources AS k ON k.source_id = g.kept_source
WHERE g.fate = 'conflict';

DELETE FROM stamps
WHERE EXISTS (
    SELECT 1 FROM given_way AS g
    WHERE g.table_name = stamps.table_name AND g.source_id = stamps.source_id AND g.source_row = stamps.source_row
);

UPDATE sources
SET
    loaded = loaded - c.repeats - c.conflicts,
    repeats = sources.repeats + c.repeats,
    set_aside = set_aside + c.conflicts
FROM (
    SELECT
        source_id,
        count_if(fate = 'repeat') AS repeats,
        count_if(fate = 'conflict') AS conflicts
    FROM lost_rows
    GROUP BY source_id
) AS c
WHERE c.source_id = sources.source_id;

INSERT INTO remarks
SELECT source_id, table_name, 'equal lines', affected,
    concat(affected, ' lines of ', table_name, ' say the same as another line of the same file and are kept')
FROM equal_lines;

DROP TABLE given_way;
DROP TABLE equal_lines;
DROP TABLE lost_rows;

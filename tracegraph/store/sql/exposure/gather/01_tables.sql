-- answers: one named answer (a lot, a mold, a person) of one hull to one question; a null
-- level is a use that was not written down, an empty one a hull known to carry none.
CREATE TEMP TABLE answers (
    hull_id  INTEGER NOT NULL,
    kind     VARCHAR NOT NULL,
    part     VARCHAR NOT NULL,
    step     VARCHAR NOT NULL,
    thing    VARCHAR NOT NULL,
    level    VARCHAR
);

-- measured: one measured answer, to be put into bands of the whole production.
CREATE TEMP TABLE measured (
    hull_id  INTEGER NOT NULL,
    kind     VARCHAR NOT NULL,
    part     VARCHAR NOT NULL,
    step     VARCHAR NOT NULL,
    thing    VARCHAR NOT NULL,
    unit     VARCHAR,
    value    DOUBLE
);

-- work: the operations that reached a hull in question and a part, with the site's own clock.
CREATE TEMP TABLE work AS
SELECT
    o.*,
    timezone($time_zone, timezone('UTC', o.started_at)) AS local_start
FROM operation_index AS o
WHERE o.part IS NOT NULL AND o.hull_id IN (SELECT hull_id FROM hulls_in_question);

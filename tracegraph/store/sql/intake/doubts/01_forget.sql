-- Doubts about all records are worked out anew by each load.
DELETE FROM remarks
WHERE kind IN (
    'two temperature scales', 'share or percent', 'claim before build', 'one lot, two suppliers',
    'serial used twice', 'spoiled identities', 'order of days', 'impossible values', 'doubtful material',
    'one mold number, two molds'
);

-- Hull serials that were given twice.
INSERT INTO remarks
SELECT NULL, 'hulls', 'serial used twice', count(*),
    concat(count(*), ' hull serials were used for more than one hull, such as ', min(hull_serial), ': what names one of them by serial alone is placed by its day (work within a year of the completion, claims after it) or not at all')
FROM (SELECT hull_serial FROM hulls GROUP BY hull_serial HAVING count(*) > 1)
HAVING count(*) > 0;

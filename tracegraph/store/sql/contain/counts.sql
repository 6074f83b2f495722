-- All hulls by grade and place.
SELECT grade, place, count(*) AS hulls FROM graded GROUP BY grade, place ORDER BY grade, place;

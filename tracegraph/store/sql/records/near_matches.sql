-- Numbers that lead nowhere with what they may stand for, nearest first.
SELECT link, written, near, reason, records
FROM near_matches
ORDER BY link, records DESC, written, place;

-- One row per place, nearest first: hulls in whose records the level stands.
SELECT coalesce(h.place, '') AS place, count(*) AS hulls
FROM exposure AS e
JOIN hull_index AS h USING (hull_id)
WHERE e.family_id = $family_id AND e.level_id = $level_id
GROUP BY h.place
ORDER BY list_position(['plant', 'transit', 'dealer', 'owner'], h.place) NULLS LAST, h.place;

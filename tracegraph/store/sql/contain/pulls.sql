-- Parts from one mold in the order of pulling: written pull numbers, else the order in time.
SELECT hull_id, coalesce(pull_no, row_number() OVER (ORDER BY pulled_at, part_id)) AS pull
FROM part_index
WHERE mold_no = $mold_no AND part = $part AND hull_id IS NOT NULL
ORDER BY pull, hull_id;

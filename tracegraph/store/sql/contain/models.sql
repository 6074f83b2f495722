-- Model of the given hulls.
SELECT hull_id, model FROM hull_index WHERE list_contains($hull_ids, hull_id) ORDER BY hull_id;

-- Model and plant of the given hulls.
SELECT hull_id, model, plant FROM hull_index WHERE list_contains($hull_ids, hull_id) ORDER BY hull_id;

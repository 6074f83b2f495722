-- The latest day that the records speak of: of a claim, else of a hull.
SELECT coalesce(
    (SELECT max(opened_on) FROM claim_index),
    (SELECT max(greatest(built_on, shipped_on, delivered_on)) FROM hull_index)
);

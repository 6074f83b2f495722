-- How many hulls remain at each rung: built, in the range asked for, shipped, in service,
-- followed for the landmark.
SELECT
    count(*) AS built,
    count(*) FILTER (WHERE in_models AND in_build_range) AS in_definition,
    count(*) FILTER (WHERE in_models AND in_build_range AND shipped_on IS NOT NULL) AS shipped,
    count(*) FILTER (WHERE in_models AND in_build_range AND delivered_on IS NOT NULL) AS in_service,
    count(*) FILTER (WHERE NOT in_models) AS other_model,
    count(*) FILTER (WHERE in_models AND NOT in_build_range) AS outside_build_range,
    count(*) FILTER (WHERE in_models AND in_build_range AND delivered_on IS NULL) AS not_delivered,
    count(*) FILTER (WHERE in_models AND in_build_range AND delivered_imputed) AS delivery_imputed
FROM followed;

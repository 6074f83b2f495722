-- How many hulls remain at each rung: built, in the range asked for, shipped, in service,
-- followed to the landmark, and how many of these are affected.
SELECT
    count(*) AS built,
    count(*) FILTER (WHERE in_plants AND in_models AND in_build_range) AS in_definition,
    count(*) FILTER (WHERE in_plants AND in_models AND in_build_range AND shipped_on IS NOT NULL) AS shipped,
    count(*) FILTER (WHERE in_plants AND in_models AND in_build_range AND delivered_on IS NOT NULL) AS in_service,
    count(*) FILTER (WHERE NOT in_plants) AS other_plant,
    count(*) FILTER (WHERE in_plants AND NOT in_models) AS other_model,
    count(*) FILTER (WHERE in_plants AND in_models AND NOT in_build_range) AS outside_build_range,
    count(*) FILTER (WHERE in_plants AND in_models AND in_build_range AND delivered_on IS NULL) AS not_delivered,
    count(*) FILTER (WHERE in_plants AND in_models AND in_build_range AND delivered_imputed) AS delivery_imputed,
    (SELECT count(*) FROM cohort) AS at_risk,
    (SELECT CAST(coalesce(sum(affected), 0) AS BIGINT) FROM cohort) AS affected
FROM followed;

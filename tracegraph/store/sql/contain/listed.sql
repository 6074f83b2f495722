-- The hulls to act on: all that carry the level or may carry it.
SELECT
    hull_serial, hin, model, grade, missing, place, dealer, built_on, delivered_on,
    delivered_imputed, months_in_service, affected, claims
FROM graded
WHERE grade IN ('recorded', 'possible')
ORDER BY
    list_position(['recorded', 'possible'], grade),
    list_position(['plant', 'transit', 'dealer', 'owner'], place),
    hull_serial, hull_id;

-- What joining did with lot numbers and claims.
SELECT
    (SELECT count(DISTINCT (material, name)) FROM lot_names WHERE shared) AS shared_lots,
    (SELECT count(*) FROM (
        SELECT 1 FROM lot_names WHERE NOT shared GROUP BY material, lot_no HAVING count(*) > 1
    )) AS lots_apart,
    (SELECT count(*) FROM (
        SELECT 1 FROM lot_names GROUP BY material, lot_no HAVING bool_or(unsure)
    )) AS lots_unsure,
    (SELECT count(*) FROM left_claims) AS claims_once,
    (SELECT count(*) FROM (
        SELECT 1 FROM plant_claims
        WHERE reached
        GROUP BY claim_no, line_no, opened_on, symptom, written
        HAVING count(DISTINCT place) > 1
    )) AS claims_twice;

-- Dates in order. A hull that reached an owner without a dated delivery is given its ship
-- day plus the median lag of its dealer (of all dealers when the dealer has none), flagged. A
-- hull without a plant was built in the plant of the store.
INSERT INTO hull_index
WITH lags AS (
    SELECT dealer, date_diff('day', shipped_on, in_service_on) AS days
    FROM hull_numbers
    WHERE in_service_on >= shipped_on
),
by_dealer AS (
    SELECT dealer, CAST(median(days) AS INTEGER) AS days FROM lags WHERE dealer IS NOT NULL GROUP BY dealer
),
overall AS (
    SELECT CAST(median(days) AS INTEGER) AS days FROM lags
),
last_work AS (
    SELECT hull_id, CAST(max(coalesce(finished_at, started_at)) AS DATE) AS day
    FROM operation_index WHERE hull_id IS NOT NULL GROUP BY hull_id
)
SELECT
    h.hull_id,
    h.hull_serial,
    h.job_no,
    h.hin,
    h.hin_key,
    h.model,
    h.dealer,
    coalesce(
        h.place,
        CASE
            WHEN h.in_service_on IS NOT NULL THEN 'owner'
            WHEN h.shipped_on IS NOT NULL THEN 'dealer'
            ELSE 'plant'
        END
    ),
    coalesce(h.completed_on, last_work.day, h.shipped_on),
    h.shipped_on,
    CASE
        WHEN h.in_service_on IS NOT NULL THEN h.in_service_on
        WHEN coalesce(h.place, 'owner') = 'owner'
            THEN CAST(h.shipped_on + to_days(coalesce(by_dealer.days, overall.days)) AS DATE)
    END,
    h.in_service_on IS NULL AND coalesce(h.place, 'owner') = 'owner' AND h.shipped_on IS NOT NULL
        AND coalesce(by_dealer.days, overall.days) IS NOT NULL,
    h.exit_on,
    coalesce(h.plant, own.plant)
FROM hull_numbers AS h
CROSS JOIN (SELECT max(value) AS plant FROM meta WHERE key = 'plant') AS own
CROSS JOIN overall
LEFT JOIN by_dealer ON by_dealer.dealer = h.dealer
LEFT JOIN last_work ON last_work.hull_id = h.hull_id;

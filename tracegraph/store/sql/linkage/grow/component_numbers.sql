-- Each component of the build before with the number that it has now. Components are numbered
-- in the order of their records, and a record keeps its source and row.
CREATE TEMP TABLE was_component_numbers AS
WITH was AS (
    SELECT
        source_id, source_row,
        CAST(row_number() OVER (
            ORDER BY component, serial_no, hull_serial, job_no, source_id, source_row
        ) AS INTEGER) AS own_id
    FROM earlier.components
),
now AS (
    SELECT
        source_id, source_row,
        CAST(row_number() OVER (
            ORDER BY component, serial_no, hull_serial, job_no, source_id, source_row
        ) AS INTEGER) AS component_id
    FROM components
)
SELECT was.own_id, now.component_id
FROM was JOIN now USING (source_id, source_row);

-- Whether other lots than before share one number of two suppliers.
WITH now AS (
    SELECT table_name, raw, "value" FROM cleaned_values WHERE rule = 'one number of two suppliers'
),
was AS (
    SELECT table_name, raw, "value" FROM earlier.cleaned_values WHERE rule = 'one number of two suppliers'
)
SELECT EXISTS (FROM now EXCEPT FROM was) OR EXISTS (FROM was EXCEPT FROM now);

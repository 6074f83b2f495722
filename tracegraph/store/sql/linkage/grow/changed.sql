-- Rows under {{table}} that one of the two builds has alone.
CREATE TEMP TABLE added_{{table}} AS
FROM now_{{table}} EXCEPT FROM was_{{table}};

CREATE TEMP TABLE gone_{{table}} AS
FROM was_{{table}} EXCEPT FROM now_{{table}};

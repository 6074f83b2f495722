-- Texts of one column that were looked at one by one, with their readings.
CREATE OR REPLACE TEMP TABLE {{lookup}} AS SELECT * FROM looked_up;

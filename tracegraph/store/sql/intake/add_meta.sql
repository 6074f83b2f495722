INSERT INTO meta VALUES ($key, $value);

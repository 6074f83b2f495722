INSERT OR REPLACE INTO meta VALUES ($key, $value);

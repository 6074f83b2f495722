DROP TABLE plant_lots;
DROP TABLE plant_claims;
DROP TABLE lot_names;
DROP TABLE own_lots;
DROP TABLE left_claims;

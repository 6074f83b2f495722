-- Drop the rows of the sheet before.
DROP TABLE IF EXISTS page;

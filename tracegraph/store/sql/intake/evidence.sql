-- Whether some text of the columns proves one reading, and whether some text proves the other.
SELECT {{one}}, {{other}} FROM page AS p;

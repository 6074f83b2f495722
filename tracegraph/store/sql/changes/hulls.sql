-- One row per hull, by its serial.
SELECT hull_serial FROM hull_index;

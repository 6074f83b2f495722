"""Turn linked records into the exposure table: hull, question, answer."""

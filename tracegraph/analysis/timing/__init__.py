"""When claims come: over service time, over build months, along the order of building."""

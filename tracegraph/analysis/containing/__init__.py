"""The parts of a containment: uses in order, chances, bounds, brackets, further claims."""

"""Tie parts, operations, claims and lots to hulls, and lay out the genealogy."""

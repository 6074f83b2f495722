"""Claims compared at the same age, with differences between models and periods allowed for."""

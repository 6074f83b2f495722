"""Typed graphs of where things came from and where they went."""

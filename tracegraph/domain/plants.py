"""Names of plants, and numbers that are unique within a plant only."""

from __future__ import annotations

import re

MARK = ":"
"""Stands between a plant and a number of its own, as in ``north:M-07``."""

_NAME = re.compile(r"\w(?:[\w .&-]*\w)?")
_WORDS = frozenset(
    {
        "claim", "hull", "part", "operation", "lot", "drum", "supplier", "mold", "operator",
        "crew", "equipment", "station", "component", "condition", "inspection",
    }
)  # fmt: skip


def plant_name(text: str) -> str:
    """A plant's name, once it can stand in front of a number.

    Raises
    ------
    ValueError
        If it holds marks that numbers are written with, or is a word that a search begins
        with (``lot:Z-55``).

    Examples
    --------
    >>> plant_name(" north ")
    'north'
    """
    name = " ".join(text.split())
    if not _NAME.fullmatch(name):
        raise ValueError(
            f"a plant's name must be letters, digits, spaces, dots or hyphens; got {text!r}"
        )
    if name.lower() in _WORDS:
        raise ValueError(f"a plant cannot be named {name!r}, which names a kind of thing")
    return name


def own_number(plant: str, number: str) -> str:
    """A number as it stands where several plants are joined.

    Examples
    --------
    >>> own_number("north", "M-07")
    'north:M-07'
    """
    return f"{plant}{MARK}{number}"

"""The kinds of questions that can be asked of a hull, in the order in which they are shown."""

from __future__ import annotations

PEOPLE = "people"

PAIR = "pair"
"""Kind of a row of two levels together; no family is of it."""

KINDS: tuple[str, ...] = (
    "material lot",
    "drum",
    "supplier",
    "mold",
    "mold condition",
    "equipment",
    "ambient condition",
    "process reading",
    "timing",
    "component lot",
    PEOPLE,
)
"""Materials first, people last: association is not fault."""

BANDED_KINDS: frozenset[str] = frozenset(
    {"mold condition", "ambient condition", "process reading", "timing"}
)
"""Kinds whose answers are mostly measured and put into bands."""

SEASONAL_KINDS: frozenset[str] = frozenset({"ambient condition"})
"""Kinds whose answers come and go with the year."""

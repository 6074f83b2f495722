"""The rules by which the text of one file is read: what is missing, how dates and numbers go."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

DayOrder = Literal["year first", "month first", "day first"]

MISSING_WORDS = (
    "",
    "n/a",
    "na",
    "#n/a",
    "none",
    "null",
    "nil",
    "nan",
    "tbd",
    "tba",
    "?",
    "??",
    "-",
    "--",
    "unknown",
)


@dataclass(frozen=True)
class ReadingRules:
    """How the text of one file is read.

    Attributes
    ----------
    time_zone : str
        Zone of times written without one.
    missing : frozenset of str
        Words, in lower case, that say that nothing was written down.
    dates : {"year first", "month first", "day first"}
        Order of dates; a date that begins with a four-digit year is always read so.
    decimal : {".", ","}
        Mark before the decimals.
    """

    time_zone: str = "UTC"
    missing: frozenset[str] = field(default_factory=lambda: frozenset(MISSING_WORDS))
    dates: DayOrder = "year first"
    decimal: Literal[".", ","] = "."


@dataclass(frozen=True)
class Reading:
    """One text as it was read.

    Attributes
    ----------
    value : str or None
        Canonical text: ISO dates and times (UTC), plain numbers; None when missing.
    rule : str or None
        Name of the rule that changed the text, when it is worth keeping the original.
    problem : str or None
        What was expected, when the text could not be read; then ``value`` is None.
    """

    value: str | None
    rule: str | None = None
    problem: str | None = None


MISSING = Reading(None)


def missing_word(text: str) -> Reading:
    """Reading of a word that stands for nothing; a blank leaves no trace."""
    return Reading(None, "missing word" if text.strip() else None)

"""Acts of a person about the records: what a number was meant to be.

A near match is only ever offered; it takes an act, with who and why, to accept it, and a
later act can undo it. Acts are appended, never edited.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

CLAIM_TO_HULL = "claim to hull"
PART_TO_HULL = "part to hull"
OPERATION_TO_PART = "operation to part"
USE_TO_LOT = "use to lot"
LINKS: tuple[str, ...] = (CLAIM_TO_HULL, PART_TO_HULL, OPERATION_TO_PART, USE_TO_LOT)
"""Links whose written numbers a person may set right. A lot is written MATERIAL|LOT."""


@dataclass(frozen=True)
class Act:
    """One act.

    Attributes
    ----------
    at : str
        When, ISO 8601 with offset.
    who : str
        Code of the person.
    act : {"accept", "undo"}
        What was done.
    link : str
        One of :data:`LINKS`.
    written : str
        Number as it stands in the records.
    meant : str
        Number that it stands for.
    reason : str
        Why.
    """

    at: str
    who: str
    act: Literal["accept", "undo"]
    link: str
    written: str
    meant: str
    reason: str


@dataclass(frozen=True)
class Meaning:
    """A written number and the number it stands for, on one link."""

    link: str
    written: str
    meant: str


def meanings_in_force(acts: Iterable[Act]) -> tuple[Meaning, ...]:
    """What is accepted after all acts, in the order of link and number.

    Examples
    --------
    >>> first = Act("2026-01-01T08:00+00:00", "QL-1", "accept", CLAIM_TO_HULL, "BT-1O", "BT-10", "")
    >>> meanings_in_force([first])[0].meant
    'BT-10'
    >>> undone = Act("2026-01-02T08:00+00:00", "QL-1", "undo", CLAIM_TO_HULL, "BT-1O", "BT-10", "")
    >>> meanings_in_force([first, undone])
    ()
    """
    meant: dict[tuple[str, str], str] = {}
    for act in acts:
        key = (act.link, act.written)
        if act.act == "accept":
            meant[key] = act.meant
        elif meant.get(key) == act.meant:
            del meant[key]
    return tuple(Meaning(link, written, meant[link, written]) for link, written in sorted(meant))

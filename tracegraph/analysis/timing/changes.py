"""What else changed when claims began to come, and when they ceased."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from tracegraph.analysis.naming import require_reason
from tracegraph.analysis.timing.onset import Onset
from tracegraph.domain.errors import DefinitionError
from tracegraph.domain.kinds import PEOPLE
from tracegraph.store import Store

DAYS = 14
"""How near a change counts, by default."""

_COLUMNS = [
    "edge",
    "family",
    "kind",
    "level",
    "change",
    "at",
    "days",
    "hulls",
    "levels",
    "usual_days",
]


@dataclass(frozen=True, eq=False)
class Changes:
    """Changes near the edges of a stretch.

    Attributes
    ----------
    frame : DataFrame
        ``edge`` (start, end of the stretch), ``family``, ``kind``, ``level``, ``change``
        (came in, went out), ``at`` (first or last use, UTC), ``days`` (after the edge;
        negative: before), ``hulls`` (that carry the level), ``levels`` (of the family),
        ``usual_days`` (from one new level of the family to the next, on average).
        Families that seldom change come first; those that change more often than once in
        ``days`` are left out, and so are drums, bands and the calendar.
    onset : Onset
        Whose edges.
    days : int
        How near a change had to be.
    data_version : str
        Version of the records.
    """

    frame: pd.DataFrame
    onset: Onset
    days: int
    data_version: str


def changes_near(
    store: Store, found: Onset, *, days: int = DAYS, people_reason: str | None = None
) -> Changes:
    """List answers whose first or last use lies near an edge of the best stretch.

    Parameters
    ----------
    store : Store
        The records.
    found : Onset
        From these records.
    days : int, default 14
        How near a change must be.
    people_reason : str, optional
        Why families of people are asked for; without one they are left out.

    Returns
    -------
    Changes
        Empty when nothing happened along the order: without a reading there is no edge.

    Raises
    ------
    DefinitionError
        If the days are negative, the reason is blank, or the onset was found in other
        records.
    """
    if days < 0:
        raise DefinitionError(f"days must not be negative; got {days}.")
    if found.data_version != store.version:
        raise DefinitionError(
            f"The onset was found in records {found.data_version}, these are {store.version}. "
            "Look for the onset again."
        )
    if people_reason is not None:
        require_reason(people_reason)
    edges = {"closed": ("start", "end"), "open": ("start",), "ended": ("end",)}
    best = found.shapes.set_index("shape")
    frames = []
    with store.session() as session:
        for edge in edges.get(found.reading, ()):
            moment = best.loc["stretch", "first_at" if edge == "start" else "last_at"]
            near = session.frame(
                "timing/changes",
                {
                    "moment": moment,
                    "days": days,
                    "people": people_reason is not None,
                    "people_kind": PEOPLE,
                },
            )
            near.insert(0, "edge", edge)
            frames.append(near)
    frame = pd.concat(frames, ignore_index=True) if frames else pd.DataFrame(columns=_COLUMNS)
    return Changes(frame, found, days, store.version)

"""A containment with what people have done about it so far."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import pandas as pd

from tracegraph.analysis.containment import Containment
from tracegraph.domain.holding import (
    HOLD_STATES,
    REACHED,
    STATE,
    HoldAct,
    Standing,
    hold_name,
    standing,
)


@dataclass(frozen=True, eq=False)
class Hold:
    """A hold and where it stands.

    Attributes
    ----------
    name : str
        Name under which acts about it are kept.
    found : Containment
        The hulls listed, each with the state in force.
    acts : tuple of HoldAct
        All acts about it, oldest first.
    standing : Standing
        What is in force after them.
    not_listed : tuple of str
        Hulls that have a state and are no longer on the list; what was done about them
        stays on record.
    """

    name: str
    found: Containment
    acts: tuple[HoldAct, ...]
    standing: Standing
    not_listed: tuple[str, ...]


def hold(found: Containment, acts: Iterable[HoldAct]) -> Hold:
    """Put what people have done beside a containment.

    Parameters
    ----------
    found : Containment
        From :func:`~tracegraph.analysis.containment.contain` or its sister for days.
    acts : iterable of HoldAct
        In the order in which they were written down; those of other holds are passed over.

    Returns
    -------
    Hold
        A hull about which nothing was written is ``unknown``, so that the states add up to
        the hulls listed.
    """
    name = hold_name(found.members)
    own = tuple(act for act in acts if act.hold == name)
    now = standing(own, name)
    state = found.hulls["hull_serial"].map(now.states).astype("object")
    hulls = found.hulls.assign(state=state.where(state.notna(), HOLD_STATES[0]))
    gone = tuple(sorted(now.states.keys() - set(hulls["hull_serial"])))
    return Hold(name, replace(found, hulls=hulls), own, now, gone)


def progress(held: Hold) -> pd.DataFrame:
    """States of the hulls listed after each day on which one changed.

    Parameters
    ----------
    held : Hold
        From :func:`hold`.

    Returns
    -------
    DataFrame
        ``day`` (ISO 8601), one column for each state, and ``reached`` (hulls whose state
        somebody who had been told brought about). Every row adds up to the hulls listed;
        the last one is the present.
    """
    changes = [act for act in held.acts if act.act == STATE]
    hulls = held.found.hulls["hull_serial"]
    rows = []
    for day in sorted({act.day for act in changes}):
        states = standing([act for act in changes if act.day <= day], held.name).states
        counts = hulls.map(states).fillna(HOLD_STATES[0]).value_counts()
        row = {state: int(counts.get(state, 0)) for state in HOLD_STATES}
        rows.append({"day": day} | row | {"reached": sum(row[state] for state in REACHED)})
    return pd.DataFrame(rows, columns=["day", *HOLD_STATES, "reached"])

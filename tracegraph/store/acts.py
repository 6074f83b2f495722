"""Files of acts in a store directory: appended line by line, kept over all loads."""

from __future__ import annotations

from pathlib import Path

from tracegraph.domain.acts import Act
from tracegraph.domain.holding import HoldAct
from tracegraph.domain.permission import Deed, Person
from tracegraph.store.audit import permit
from tracegraph.store.journal import append_lines, read_lines

_LINKS, _HOLDS = "acts.jsonl", "holds.jsonl"


def read_acts(directory: Path) -> tuple[Act, ...]:
    """All acts about the records of a store directory, oldest first.

    Parameters
    ----------
    directory : Path
        The store directory.

    Returns
    -------
    tuple of Act
        Empty when none was recorded.

    Raises
    ------
    StoreError
        If a line cannot be read.
    """
    return read_lines(directory / _LINKS, Act)


def append_act(directory: Path, act: Act) -> None:
    """Append one act about the records; it is on disk when this returns.

    Raises
    ------
    StoreError
        If the file cannot be written.
    """
    append_lines(directory / _LINKS, [act])


def read_hold_acts(directory: Path) -> tuple[HoldAct, ...]:
    """All acts about holds in a store directory, oldest first.

    Parameters
    ----------
    directory : Path
        The store directory.

    Returns
    -------
    tuple of HoldAct
        Empty when none was recorded.

    Raises
    ------
    StoreError
        If a line cannot be read.
    """
    return read_lines(directory / _HOLDS, HoldAct)


def append_hold_acts(directory: Path, acts: list[HoldAct], *, by: Person | None = None) -> None:
    """Append acts about a hold, all or none; they are on disk when this returns.

    Parameters
    ----------
    directory : Path
        The store directory.
    acts : list of HoldAct
        All about one hold and signed by one person.
    by : Person, optional
        Who does it; the owner of the machine when left out.

    Raises
    ------
    NotAllowedError
        If the role does not cover it, or an act is signed with somebody else's code.
    StoreError
        If the file cannot be written.
    """
    for hold, act, value, who in dict.fromkeys((a.hold, a.act, a.value, a.who) for a in acts):
        permit(directory, by, Deed.WRITE_HOLD, f"{hold}: {act} {value}".strip(), signed=who)
    append_lines(directory / _HOLDS, acts)

"""Files of acts in a store directory: appended line by line, kept over all loads."""

from __future__ import annotations

import json
import os
from dataclasses import asdict
from pathlib import Path
from typing import TypeVar

from filelock import FileLock

from tracegraph.domain.acts import Act
from tracegraph.domain.errors import DefinitionError, StoreError
from tracegraph.domain.holding import HoldAct

_LINKS, _HOLDS = "acts.jsonl", "holds.jsonl"
_Act = TypeVar("_Act", Act, HoldAct)


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
    return _read(directory / _LINKS, Act)


def append_act(directory: Path, act: Act) -> None:
    """Append one act about the records; it is on disk when this returns.

    Raises
    ------
    StoreError
        If the file cannot be written.
    """
    _append(directory / _LINKS, [act])


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
    return _read(directory / _HOLDS, HoldAct)


def append_hold_acts(directory: Path, acts: list[HoldAct]) -> None:
    """Append acts about a hold, all or none; they are on disk when this returns.

    Raises
    ------
    StoreError
        If the file cannot be written.
    """
    _append(directory / _HOLDS, acts)


def _read(path: Path, kind: type[_Act]) -> tuple[_Act, ...]:
    if not path.is_file():
        return ()
    acts = []
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        try:
            acts.append(kind(**json.loads(line)))
        except (ValueError, TypeError, DefinitionError) as error:
            raise StoreError(
                f"{path} line {number} is not an act: {line[:60]!r}. Restore the file from a "
                "backup, or take the line out."
            ) from error
    return tuple(acts)


def _append(path: Path, acts: list[_Act]) -> None:
    lines = "".join(json.dumps(asdict(act), ensure_ascii=False) + "\n" for act in acts)
    try:
        with FileLock(path.parent / "acts.lock"), path.open("a", encoding="utf-8") as file:
            file.write(lines)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise StoreError(
            f"{path} cannot be written: {error.strerror}. The act was not recorded."
        ) from error

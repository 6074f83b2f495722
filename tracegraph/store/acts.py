"""The file of acts in a store directory: appended line by line, kept over all loads."""

from __future__ import annotations

import json
import os
from dataclasses import asdict
from pathlib import Path

from filelock import FileLock

from tracegraph.domain.acts import Act
from tracegraph.domain.errors import StoreError

_FILE = "acts.jsonl"


def read_acts(directory: Path) -> tuple[Act, ...]:
    """All acts of a store directory, oldest first.

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
    path = directory / _FILE
    if not path.is_file():
        return ()
    acts = []
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        try:
            acts.append(Act(**json.loads(line)))
        except (ValueError, TypeError) as error:
            raise StoreError(
                f"{path} line {number} is not an act: {line[:60]!r}. Restore the file from a "
                "backup, or take the line out."
            ) from error
    return tuple(acts)


def append_act(directory: Path, act: Act) -> None:
    """Append one act; it is on disk when this returns.

    Raises
    ------
    StoreError
        If the file cannot be written.
    """
    path = directory / _FILE
    line = json.dumps(asdict(act), ensure_ascii=False) + "\n"
    try:
        with FileLock(directory / "acts.lock"), path.open("a", encoding="utf-8") as file:
            file.write(line)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise StoreError(
            f"{path} cannot be written: {error.strerror}. The act was not recorded."
        ) from error

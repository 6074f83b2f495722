"""Files of lines in a store directory: appended one by one, never edited, kept over all loads."""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from filelock import FileLock

from tracegraph.domain.errors import DefinitionError, StoreError

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

_Line = TypeVar("_Line", bound="DataclassInstance")


def read_lines(path: Path, kind: type[_Line]) -> tuple[_Line, ...]:
    """All lines of a file, oldest first; none when there is no file.

    Raises
    ------
    StoreError
        If a line cannot be read.
    """
    if not path.is_file():
        return ()
    lines = []
    for number, line in enumerate(path.read_text(encoding="utf-8").split("\n"), start=1):
        if not line:
            continue
        try:
            lines.append(kind(**json.loads(line)))
        except (ValueError, TypeError, DefinitionError) as error:
            raise StoreError(
                f"{path} line {number} is not an act: {line[:60]!r}. Restore the file from a "
                "backup, or take the line out."
            ) from error
    return tuple(lines)


def append_lines(path: Path, lines: Sequence[_Line]) -> None:
    """Append lines, all or none; they are on disk when this returns.

    Raises
    ------
    StoreError
        If the file cannot be written.
    """
    text = "".join(json.dumps(asdict(line), ensure_ascii=False) + "\n" for line in lines)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with FileLock(path.parent / "acts.lock"), path.open("a", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise StoreError(
            f"{path} cannot be written: {error.strerror}. The act was not recorded."
        ) from error

"""What a load says about itself: where each row of each file went."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tracegraph.intake.folder import LeftOut


@dataclass(frozen=True)
class FileLedger:
    """Where the rows of one file went: seen = loaded + set_aside + repeats + furniture.

    Attributes
    ----------
    name : str
        Path inside the folder.
    seen : int
        Rows below the header.
    loaded : int
        Rows that became records.
    set_aside : int
        Rows that could not be read, kept with their reason.
    repeats : int
        Rows that say what another row says.
    furniture : int
        Blank lines, repeated headers, titles and totals.
    """

    name: str
    seen: int = 0
    loaded: int = 0
    set_aside: int = 0
    repeats: int = 0
    furniture: int = 0

    def as_dict(self) -> dict[str, Any]:
        """Plain values, for JSON."""
        return {
            "name": self.name,
            "seen": self.seen,
            "loaded": self.loaded,
            "set_aside": self.set_aside,
            "repeats": self.repeats,
            "furniture": self.furniture,
        }


@dataclass(frozen=True)
class Remark:
    """One thing the reader of the records should know.

    Attributes
    ----------
    kind : str
        Short name of the kind of doubt.
    affected : int
        How many rows.
    text : str
        The sentence.
    name : str or None
        File it concerns.
    table : str or None
        Table it concerns.
    source_id : int or None
        Number of the file or sheet in the store.
    """

    kind: str
    affected: int
    text: str
    name: str | None = None
    table: str | None = None
    source_id: int | None = None


@dataclass(frozen=True)
class LoadReport:
    """What one load did.

    Attributes
    ----------
    store : Path
        The store directory.
    version : str
        Data version in force now.
    changed : bool
        False when everything was known already and nothing was written.
    files : tuple of FileLedger
        One per file that was read, by name.
    left_out : tuple of LeftOut
        Files that were not read, and why.
    remarks : tuple of Remark
        Doubts and choices.
    """

    store: Path
    version: str
    changed: bool
    files: tuple[FileLedger, ...]
    left_out: tuple[LeftOut, ...]
    remarks: tuple[Remark, ...]

    @property
    def set_aside(self) -> int:
        """Rows set aside over all files."""
        return sum(file.set_aside for file in self.files)

    def as_dict(self) -> dict[str, Any]:
        """Plain values: the JSON of the load command."""
        return {
            "store": str(self.store),
            "version": self.version,
            "changed": self.changed,
            "files": [file.as_dict() for file in self.files],
            "left_out": [{"name": out.name, "reason": out.reason} for out in self.left_out],
            "remarks": [
                {
                    "kind": remark.kind,
                    "affected": remark.affected,
                    "text": remark.text,
                    "name": remark.name,
                    "table": remark.table,
                }
                for remark in self.remarks
            ],
        }

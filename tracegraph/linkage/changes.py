"""What a load did to the records of the build that it began as."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Changes:
    """What a load did to the records of the build before.

    Parameters
    ----------
    earlier : Path
        File of that build.
    last_source : int
        Number of its last source; those behind it came with the load.
    mended : frozenset of str
        Tables in which rows of earlier sources changed or went.
    """

    earlier: Path
    last_source: int
    mended: frozenset[str]

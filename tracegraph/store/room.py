"""How much memory the database may take, and where it puts the rest."""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path

from tracegraph.domain.errors import StoreError

MEMORY, SPILL, CORES = "TRACEGRAPH_MEMORY", "TRACEGRAPH_SPILL", "TRACEGRAPH_CORES"
READING, LOADING = "2GB", "2500MB"

_AMOUNT = re.compile(r"[1-9]\d*(\.\d+)?\s*[KMG]i?B", re.IGNORECASE)


def memory_limit(default: str) -> str:
    """What the database may hold in memory: ``TRACEGRAPH_MEMORY``, else the default.

    Raises
    ------
    StoreError
        If the setting is no amount.
    """
    given = os.environ.get(MEMORY, "").strip() or default
    if not _AMOUNT.fullmatch(given):
        raise StoreError(
            f"{MEMORY} must be an amount like {default}; got {given!r}. Give a number with MB or "
            "GB, or leave it out."
        )
    return given


def cores() -> int | None:
    """How many cores the database may work on at once: ``TRACEGRAPH_CORES``; None for all.

    Raises
    ------
    StoreError
        If the setting is no number from 1 on.
    """
    given = os.environ.get(CORES, "").strip()
    if not given:
        return None
    if not given.isascii() or not given.isdigit() or int(given) < 1:
        raise StoreError(
            f"{CORES} must be a number from 1 on; got {given!r}. Give one, or leave it out."
        )
    return int(given)


def spill_folder() -> Path | None:
    """Where the database puts what does not fit: ``TRACEGRAPH_SPILL``; None when not set.

    Raises
    ------
    StoreError
        If the setting is no folder that can be written.
    """
    given = os.environ.get(SPILL, "").strip()
    if not given:
        return None
    folder = Path(given)
    if not folder.is_dir() or not os.access(folder, os.W_OK):
        raise StoreError(
            f"{SPILL} must be a folder that can be written; got {given!r}. Make it, or leave the "
            "setting out."
        )
    return folder


def reading_spill() -> Path:
    """Where readers spill: the folder that was set, else the system's for temporary files."""
    return (spill_folder() or Path(tempfile.gettempdir())) / "tracegraph-spill"

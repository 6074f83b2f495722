"""What was found once in a build and takes long to find, kept beside its file line by line."""

from __future__ import annotations

import json
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

_ENDING = ".found.jsonl"


def findings_path(build: Path) -> Path:
    """File that keeps what was found in a build."""
    return build.with_name(build.stem + _ENDING)


def kept_findings(build: Path, kind: str) -> list[dict[str, Any]]:
    """What was kept of one kind, oldest first.

    Parameters
    ----------
    build : Path
        File of the build.
    kind : str
        What it is and by which method it was found.

    Returns
    -------
    list of dict
        Empty where nothing was kept. A line that cannot be read is passed over: it is found
        anew.
    """
    path = findings_path(build)
    found = []
    with suppress(OSError):
        for line in path.read_text(encoding="utf-8").splitlines():
            with suppress(ValueError, TypeError, KeyError):
                entry = json.loads(line)
                if entry["kind"] == kind:
                    found.append(dict(entry["found"]))
    return found


def keep_finding(build: Path, kind: str, found: Mapping[str, Any]) -> None:
    """Keep one finding; where the folder cannot be written it is found anew next time.

    Parameters
    ----------
    build : Path
        File of the build; a build in memory keeps nothing.
    kind : str
        What it is and by which method it was found.
    found : mapping
        Plain values.
    """
    if not build.is_file():
        return
    line = json.dumps({"kind": kind, "found": dict(found)}, ensure_ascii=False, allow_nan=False)
    with suppress(OSError), findings_path(build).open("a", encoding="utf-8") as file:
        file.write(line + "\n")

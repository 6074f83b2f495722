"""Case definitions that were tried on a cluster, counted beside the builds."""

from __future__ import annotations

import json
from pathlib import Path

from filelock import FileLock

_FILE = "tried.jsonl"


def count_tried(directory: Path, cluster: tuple[str, ...], fingerprint: str) -> int | None:
    """Note that a definition was tried, and count the different ones tried on its cluster.

    Parameters
    ----------
    directory : Path
        The store directory.
    cluster : tuple of str
        Symptoms of the cluster, in any order and case.
    fingerprint : str
        Changes when the definition does.

    Returns
    -------
    int or None
        Different definitions of the cluster so far, this one included; None where the
        directory cannot be written, so that none can be counted.
    """
    path = directory / _FILE
    mine = {"cluster": sorted({word.casefold() for word in cluster}), "definition": fingerprint}
    try:
        with FileLock(directory / "tried.lock"):
            text = path.read_text(encoding="utf-8") if path.is_file() else ""
            known = {
                (tuple(entry["cluster"]), entry["definition"])
                for entry in map(json.loads, text.splitlines())
            }
            key = (tuple(mine["cluster"]), fingerprint)
            if key not in known:
                known.add(key)
                with path.open("a", encoding="utf-8") as file:
                    file.write(json.dumps(mine, ensure_ascii=False) + "\n")
    except (OSError, ValueError):
        return None
    return sum(cluster_words == key[0] for cluster_words, _ in known)

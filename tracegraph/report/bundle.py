"""Find what ships beside the package: the app's front door, the sample records, the methods."""

from __future__ import annotations

from pathlib import Path

import tracegraph
from tracegraph.domain.errors import TraceGraphError


def bundled(name: str) -> Path:
    """Path of a file or folder that ships with tracegraph.

    Parameters
    ----------
    name : str
        ``"app.py"``, ``"sample_builds"`` or ``"docs/methods.md"``.

    Returns
    -------
    Path
        Inside the installed package, or beside it in a checkout.

    Raises
    ------
    TraceGraphError
        If it is in neither place.
    """
    package = Path(tracegraph.__file__).parent
    for place in (package / "bundled" / name, package.parent / name):
        if place.exists():
            return place
    raise TraceGraphError(
        f"{name} is missing from this installation of tracegraph. Install it again."
    )

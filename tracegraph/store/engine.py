"""The seam between the questions that grow with the plant and the engine that answers them.

The texts under ``sql/shared`` are plain enough for more than one engine: they read the
published tables and the small tables of a session, and hand back counts. What is reckoned
from the counts never knows which engine counted.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Protocol

import pyarrow as pa

PUBLISHED: tuple[str, ...] = ("meta", "families", "levels", "exposure")
"""Tables that are written out for another engine."""

SHARED: Mapping[str, tuple[str, ...]] = {
    "answered": (),
    "carried": (),
    "exposure_counts": ("cohort",),
    "exposure_rows": (),
    "family_answers": ("cohort",),
}
"""Texts that every engine runs, and the session's own tables that each reads."""


class Engine(Protocol):
    """Answers the shared texts from the published tables."""

    def answer(
        self, name: str, parameters: Mapping[str, Any], tables: Mapping[str, pa.Table]
    ) -> pa.Table:
        """Run one shared text.

        Parameters
        ----------
        name : str
            A key of :data:`SHARED`.
        parameters : mapping
            Values for the ``$names`` in the text.
        tables : mapping of str to Table
            The session's own tables that the text reads.

        Returns
        -------
        Table
            In Arrow.
        """
        ...

    def close(self) -> None:
        """Let the engine go."""
        ...

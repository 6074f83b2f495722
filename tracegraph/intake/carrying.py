"""Take over the records of the build in force, so that loads add up."""

from __future__ import annotations

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import TABLES
from tracegraph.intake.compose import compose
from tracegraph.store import Build
from tracegraph.store.writer import SCHEMA_VERSION

_FROM_FILES = (
    *(table.name for table in TABLES),
    *("set_aside", "cleaned_values", "remarks", "history", "stamps", "sources"),
)
KEPT = (*_FROM_FILES, "meta")
"""Tables that a later load goes on from; all others are worked out of them."""


def carry_over(build: Build, forgotten: list[str]) -> None:
    """Go on from the records and books of the build that a new one began as.

    Parameters
    ----------
    build : Build
        A copy of the build in force.
    forgotten : list of str
        Fingerprints of files that will be read anew; what they brought stays behind.

    Raises
    ------
    IntakeError
        If the earlier build was made by another version.
    """
    version = build.scalar("SELECT value FROM meta WHERE key = 'schema_version'")
    if version != str(SCHEMA_VERSION):
        raise IntakeError(
            "The records in the store were loaded by another version of tracegraph. "
            "Load all folders again, the first with --fresh."
        )
    if forgotten:
        for name in _FROM_FILES:
            build.execute(compose("intake/forget", table=name), {"fingerprints": forgotten})

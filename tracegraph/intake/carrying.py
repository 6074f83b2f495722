"""Take over the records of the build in force, so that loads add up."""

from __future__ import annotations

from pathlib import Path

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import TABLES
from tracegraph.intake.compose import compose
from tracegraph.store import Build
from tracegraph.store.connection import literal

_BOOKS = ("set_aside", "cleaned_values", "remarks", "history", "stamps", "sources")


def carry_over(build: Build, earlier: Path, forgotten: list[str]) -> None:
    """Copy all records and books of an earlier build.

    Parameters
    ----------
    build : Build
        Empty.
    earlier : Path
        File of the build in force.
    forgotten : list of str
        Fingerprints of files that will be read anew; what they brought stays behind.

    Raises
    ------
    IntakeError
        If the earlier build was made by another version.
    """
    build.execute(f"ATTACH {literal(str(earlier))} AS earlier (READ_ONLY)")
    versions = [
        build.scalar(f"SELECT value FROM {where}meta WHERE key = 'schema_version'")
        for where in ("", "earlier.")
    ]
    if versions[0] != versions[1]:
        raise IntakeError(
            f"The records in {earlier.parent} were loaded by another version of tracegraph. "
            "Load all folders again, the first with --fresh."
        )
    for name in (*(table.name for table in TABLES), *_BOOKS):
        build.execute(f"INSERT INTO {name} BY NAME SELECT * FROM earlier.{name}")
    build.execute("DETACH earlier")
    if forgotten:
        for name in (*(table.name for table in TABLES), *_BOOKS):
            build.execute(compose("intake/forget", table=name), {"fingerprints": forgotten})

"""Which record tables hold anything: the others need no work."""

from __future__ import annotations

from tracegraph.domain.records import TABLES
from tracegraph.intake.compose import compose
from tracegraph.store import Build


def filled_tables(build: Build) -> frozenset[str]:
    """Names of the record tables that hold rows."""
    asked = " UNION ALL ".join(
        compose("intake/rows_of_table", table=table.name) for table in TABLES
    )
    return frozenset(name for name, filled in build.rows(asked) if filled)

"""A plant of any size written straight into the record tables, for benchmarks of tracing."""

from __future__ import annotations

from pathlib import Path

from tracegraph.store import Build

PARTS = 4
STEPS_PER_PART = 6
STEPS_PER_HULL = 6
USES = 2  # per operation on a part
READINGS = 6  # per operation
CHECKS = 20
COMPONENTS = 8
CLAIMS = 2
LOT_HULLS = 500  # hulls built from one lot of each material

_TABLES = Path(__file__).with_suffix(".sql")


def fill_big_plant(build: Build, hulls: int, *, shuffled: bool = False) -> int:
    """Write the records of a plant; give how many there are.

    At 50,000 hulls there are about 15 million. Operation numbers rise with time, or are
    drawn at random when shuffled.
    """
    build.execute(
        _TABLES.read_text(encoding="utf-8"),
        {
            "hulls": hulls, "parts": PARTS, "steps": STEPS_PER_PART, "hull_steps": STEPS_PER_HULL,
            "uses": USES, "readings": READINGS, "checks": CHECKS, "components": COMPONENTS,
            "claims": CLAIMS, "lot_hulls": LOT_HULLS, "shuffled": shuffled,
        },
    )  # fmt: skip
    tables = (
        "hulls", "parts", "operations", "usages", "readings", "inspections", "components", "lots",
        "ambient", "claims",
    )  # fmt: skip
    return sum(int(build.rows(f"SELECT count(*) FROM {table}")[0][0]) for table in tables)

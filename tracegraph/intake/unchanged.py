"""Tell what a load did to the records that the exposure of the build before rests on.

Claims do not enter it: a load of claims alone, or an act about them, keeps it. Other records
have it worked out anew for the hulls that they reach; other rules, for all.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from tracegraph.domain.acts import CLAIM_TO_HULL, Meaning
from tracegraph.domain.practice import AMBIENT_QUANTITIES, CURE_HOURS, FRESH_MINUTES
from tracegraph.domain.records import TABLES
from tracegraph.intake.compose import compose
from tracegraph.linkage import Changes
from tracegraph.store import Build
from tracegraph.store.queries import sql_names, sql_text

EXPOSURE_VERSION = "1"
"""Raise it when other code than SQL gives another exposure from the same records."""

RULES = "exposure_rules"
"""Key of the store's notes under which a build keeps the rules of its exposure."""

_BENEATH = tuple(table.name for table in TABLES if table.name != "claims")


@dataclass(frozen=True)
class Footing:
    """What the exposure of a build rested on when a load began.

    Attributes
    ----------
    earlier : Path
        File of the build.
    rules : str
        Fingerprint of the rules by which it was worked out.
    last_source : int
        Number of its last source.
    state : frozenset
        Rows and noted values of each table.
    """

    earlier: Path
    rules: str
    last_source: int
    state: frozenset[tuple[str, str, int]]


def footing(build: Build, earlier: Path) -> Footing:
    """What the exposure that a build was copied with rests on; ask before anything is read.

    Parameters
    ----------
    build : Build
        A copy of a finished build.
    earlier : Path
        File of that build.
    """
    rules = build.scalar("SELECT value FROM meta WHERE key = $key", {"key": RULES}) or ""
    last = int(build.scalar(sql_text("intake/last_source")))
    return Footing(earlier, rules, last, _state(build, last))


def still_holds(build: Build, before: Footing, changes: Changes) -> bool:
    """Whether the exposure of a build before is that of the records now, by the same rules."""
    return not changes.mended and not any(
        build.scalar(
            compose("intake/rows_of_load", table=name), {"last_source": before.last_source}
        )
        for name in _BENEATH
    )


def changes_since(build: Build, before: Footing) -> Changes:
    """What was done to the records that exposure rests on."""
    state = _state(build, before.last_source)
    mended = frozenset(table for table, _, _ in state ^ before.state)
    return Changes(before.earlier, before.last_source, mended)


def rules_of_exposure(time_zone: str, meanings: Sequence[Meaning], plant: str | None = None) -> str:
    """Fingerprint of all that exposure depends on besides the records.

    Parameters
    ----------
    time_zone : str
        The site's zone.
    meanings : sequence of Meaning
        Meanings in force; those about claims do not count.
    plant : str, optional
        Plant of the hulls of which no other is recorded.
    """
    told = {
        "version": EXPOSURE_VERSION,
        "zone": time_zone,
        "plant": plant,
        "meanings": [asdict(m) for m in meanings if m.link != CLAIM_TO_HULL],
        "practice": [CURE_HOURS, sorted(AMBIENT_QUANTITIES), FRESH_MINUTES],
        "texts": [sql_text(name) for folder in _FOLDERS for name in sql_names(folder)],
    }
    text = json.dumps(told, sort_keys=True, default=list)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


_FOLDERS = (
    "linkage",
    "linkage/graph",
    "linkage/grow",
    "exposure",
    "exposure/gather",
    "exposure/conditions",
    "exposure/settle",
    "exposure/number",
    "exposure/renew",
)


def _state(build: Build, last_source: int) -> frozenset[tuple[str, str, int]]:
    asked = " UNION ALL ".join(compose("intake/state_of_records", table=name) for name in _BENEATH)
    return frozenset(build.rows(asked, {"last_source": last_source}))

"""The end of every load: link, work out exposure, sign. Also alone, after an act of a person."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import asdict
from datetime import UTC, datetime

from tracegraph.domain.acts import Act, meanings_in_force
from tracegraph.domain.errors import IntakeError
from tracegraph.exposure import EXPOSED, build_exposure, renew_exposure
from tracegraph.intake.carrying import KEPT, carry_over
from tracegraph.intake.unchanged import (
    RULES,
    Footing,
    changes_since,
    footing,
    rules_of_exposure,
    still_holds,
)
from tracegraph.linkage import GRAPH, link_records
from tracegraph.store import Build, Store, StoreDirectory
from tracegraph.store.acts import append_act, read_acts
from tracegraph.store.queries import sql_text
from tracegraph.store.reader import open_build
from tracegraph.store.writer import new_build

READING_VERSION = "4"
"""Raise it when the same bytes under the same rules give other records."""

PLANT = "plant"
"""Key of the store's notes under which a build keeps whose records it holds."""


def finish(
    build: Build,
    directory: StoreDirectory,
    time_zone: str,
    before: Footing | None,
    step: Callable[[str, float, float], None] = lambda text, first, last: None,
    *,
    plant: str | None = None,
) -> str:
    """Link the records of a build, derive exposure, and sign it.

    Parameters
    ----------
    build : Build
        Its record tables are filled and settled.
    directory : StoreDirectory
        Holds the acts of people about near matches.
    time_zone : str
        The site's zone.
    before : Footing or None
        What the exposure rested on that the build was copied with; None for a build that
        began empty.
    step : callable, optional
        Told what is being done, and from where to where it goes of the load's last part.
    plant : str, optional
        Plant that built the hulls of which no other is recorded.

    Returns
    -------
    str
        Data version: depends on what was loaded, how, and on the meanings accepted; not on
        the order of files or rows, nor on paths.
    """
    meanings = meanings_in_force(read_acts(directory.path))
    rules = rules_of_exposure(time_zone, meanings, plant)
    same_rules = before if before is not None and before.rules == rules else None
    changes = changes_since(build, same_rules) if same_rules else None
    kept = bool(same_rules and changes and still_holds(build, same_rules, changes))
    step("linking records", 0.4, 0.6)
    if before is not None:
        grown = GRAPH if changes is not None else ()
        build.renew_all_but((*KEPT, *grown, *(EXPOSED if kept else ())))
    if plant is not None:
        build.run("intake/add_meta", {"key": PLANT, "value": plant})
    link_records(build, meanings, changes=changes)
    if not kept:
        step("working out who was exposed to what", 0.6, 1.0)
        if changes is None or not renew_exposure(build, changes, time_zone=time_zone):
            build_exposure(build, time_zone=time_zone)
    told = build.rows(sql_text("intake/fingerprints"))
    accepted = [asdict(meaning) for meaning in meanings]
    own = [] if plant is None else [plant]
    text = json.dumps([READING_VERSION, time_zone, told, accepted, *own])
    version = hashlib.sha256(text.encode()).hexdigest()[:12]
    for key, value in (
        ("data_version", version),
        ("time_zone", time_zone),
        (RULES, rules),
        ("loaded_at", datetime.now(UTC).isoformat(timespec="seconds")),
    ):
        build.run("intake/add_meta", {"key": key, "value": value})
    return version


JOINED = "joined"
"""Key of the store's notes under which a build names the plants that were joined into it."""


def refuse_joined(store: Store) -> None:
    """Keep the records of a joined store as they were joined.

    Raises
    ------
    IntakeError
        If the store joins plants.
    """
    plants = store.meta(JOINED)
    if plants is not None:
        raise IntakeError(
            f"The store joins the plants {plants}; its records come from their own stores. "
            "Change those, then join again: tracegraph join."
        )


def relink(directory: StoreDirectory, act: Act) -> str:
    """Record an act of a person and link the records in force anew by it.

    Parameters
    ----------
    directory : StoreDirectory
        A store with records.
    act : Act
        Appended once the store is held, so that a busy store refuses it.

    Returns
    -------
    str
        The new data version, in force.

    Raises
    ------
    IntakeError
        If the store joins plants.
    StoreError
        If nothing has been loaded.
    StoreBusyError
        If a load holds the store.
    """
    with directory.loading():
        earlier = directory.require_current()
        with open_build(earlier) as store:
            refuse_joined(store)
            time_zone, plant = store.meta("time_zone") or "UTC", store.meta(PLANT)
        with new_build(directory, earlier) as build:
            before = footing(build, earlier)
            carry_over(build, [])
            append_act(directory.path, act)
            return finish(build, directory, time_zone, before, plant=plant)

"""Join the stores of several plants into one store, in which no two things share a number.

Each plant keeps the store that its own folders are loaded into. The joined store holds the
records of all of them, the numbers that are unique within a plant only behind the plant's
name, and is linked and worked out like any other: every question runs on it unchanged.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.permission import Deed, Person
from tracegraph.domain.plants import plant_name
from tracegraph.exposure import build_exposure
from tracegraph.intake.finishing import JOINED, PLANT, refuse_joined
from tracegraph.linkage import link_records
from tracegraph.store import Build, Store, StoreDirectory, open_store
from tracegraph.store.audit import permit
from tracegraph.store.queries import sql_text
from tracegraph.store.writer import new_build

JOINING_VERSION = "1"
"""Raise it when the same stores give another joined store."""

_SAID = {
    "shared_lots": "{shared_lots} lots are one in several plants: same material, number and "
    "supplier.",
    "lots_apart": "{lots_apart} lot numbers mean another lot in each of several plants and bear "
    "the plant's name.",
    "lots_unsure": "{lots_unsure} of the lot numbers of several plants have no supplier on record "
    "in one of them, so they are kept apart: record the supplier if they are one lot.",
    "claims_once": "{claims_once} claim lines stand in the records of two plants and are counted "
    "once, where they reach a hull.",
    "claims_twice": "{claims_twice} claim lines stand alike in two plants and reach a hull in "
    "each: load each plant's own claims, or write the hull identification number.",
}


_APART = 45
"""Days between the last claims of plants from which their cut-off is worth a remark."""


@dataclass(frozen=True)
class Member:
    """The store of one plant.

    Attributes
    ----------
    plant : str
        Its name.
    store : Path
        Directory of its store.
    build : Path
        File of the build in force there.
    version : str
        Data version of that build.
    time_zone : str
        Its time zone.
    """

    plant: str
    store: Path
    build: Path
    version: str
    time_zone: str


@dataclass(frozen=True)
class JoinReport:
    """What a joining did.

    Attributes
    ----------
    store : Path
        Directory of the joined store.
    version : str
        Its data version.
    changed : bool
        False when the plants' records were joined before as they are.
    plants : tuple of dict
        ``plant``, ``store``, ``data_version``, ``time_zone``, ``hulls``, ``claims`` (lines
        that reach a hull of the plant) and ``last_claim_on`` of each.
    remarks : tuple of str
        What was taken for one thing and what was kept apart.
    """

    store: Path
    version: str
    changed: bool
    plants: tuple[dict[str, Any], ...]
    remarks: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "store": str(self.store),
            "version": self.version,
            "changed": self.changed,
            "plants": list(self.plants),
            "remarks": list(self.remarks),
        }


def join_stores(
    stores: Sequence[tuple[str | None, Path]],
    directory: StoreDirectory,
    *,
    by: Person | None = None,
) -> JoinReport:
    """Join the stores of plants into one.

    Parameters
    ----------
    stores : sequence of (str or None, Path)
        Plant and store directory of each; the name is that of the store's ``intake.toml``
        where it is None. Empty: the stores that were joined before, as they are now.
    directory : StoreDirectory
        The joined store; it may hold nothing but an earlier joining.
    by : Person, optional
        Who joins; the owner of the machine when left out.

    Returns
    -------
    JoinReport
        Nothing is written, and ``changed`` is False, when these records were joined before.

    Raises
    ------
    IntakeError
        If a plant has no name or two have one, a store is itself joined, or the directory
        holds the records of a plant.
    StoreError
        If a store holds nothing or was made by another version, or there is no room.
    NotAllowedError
        If the role does not cover it.
    """
    named = ", ".join(str(path) for _, path in stores) or "the same plants again"
    permit(directory.path, by, Deed.LOAD, f"joined: {named}")
    with directory.loading():
        before = _before(directory)
        members = [_member(plant, path, directory) for plant, path in stores or _again(before)]
        _require_different(members)
        version = _version(members)
        same = {row["store"] for row in before.plants} == {str(m.store) for m in members}
        if version == before.version and same:
            return before
        with new_build(directory) as build:
            remarks = _take_over(build, members)
            zone = _common_zone(members) or "UTC"
            link_records(build, look_for_near=False)
            build_exposure(build, time_zone=zone)
            for key, value in (
                ("data_version", version),
                ("time_zone", zone),
                (JOINED, ", ".join(member.plant for member in members)),
                ("loaded_at", datetime.now(UTC).isoformat(timespec="seconds")),
            ):
                build.run("intake/add_meta", {"key": key, "value": value})
            plants = plants_of(build)
    return JoinReport(directory.path, version, True, plants, remarks)


def _before(directory: StoreDirectory) -> JoinReport:
    """The joining in force, if any."""
    if directory.current() is None:
        return JoinReport(directory.path, "", False, (), ())
    with open_store(directory.path) as store:
        if store.meta(JOINED) is None:
            raise IntakeError(
                f"{directory.path} holds the records of a plant, which joining would replace. "
                "Name another store with --store."
            )
        return JoinReport(directory.path, store.version, False, plants_of(store), ())


def plants_of(store: Store | Build) -> tuple[dict[str, Any], ...]:
    """The plants that were joined into a store, as in :class:`JoinReport`."""
    rows = store.frame("join/plants").astype({"last_claim_on": "object"}).to_dict("records")
    return tuple({str(name): value for name, value in row.items()} for row in rows)


def _again(before: JoinReport) -> list[tuple[str | None, Path]]:
    """The stores that were joined before."""
    if not before.plants:
        raise IntakeError(
            "Nothing is joined yet, so the stores must be named: tracegraph join "
            "north=DIR south=DIR --store JOINED."
        )
    return [(row["plant"], Path(row["store"])) for row in before.plants]


def _member(plant: str | None, path: Path, directory: StoreDirectory) -> Member:
    if path.resolve() == directory.path.resolve():
        raise IntakeError(
            f"{path} cannot be joined into itself. Name another directory with --store."
        )
    with open_store(path) as store:
        refuse_joined(store)
        told = store.meta(PLANT)
        if plant is None and told is None:
            raise IntakeError(
                f'The store {path} does not say whose it is. Put plant = "NAME" into its '
                f"intake.toml and load again, or name it here: NAME={path}."
            )
        if plant is not None and told is not None and plant != told:
            raise IntakeError(
                f"The store {path} holds the records of plant {told}; it was named {plant}. "
                "Leave the name out."
            )
        try:
            name = plant_name(plant or told or "")
        except ValueError as error:
            raise IntakeError(f"The store {path}: {error}. Choose another name.") from error
        zone = store.meta("time_zone") or "UTC"
        return Member(name, path.resolve(), store.path.resolve(), store.version, zone)


def _require_different(members: Sequence[Member]) -> None:
    for what, values in (
        ("plant", [member.plant.casefold() for member in members]),
        ("store", [str(member.store) for member in members]),
    ):
        twice = sorted({value for value in values if values.count(value) > 1})
        if twice:
            raise IntakeError(f"The {what} {twice[0]} was named twice. Name each plant once.")


def _version(members: Sequence[Member]) -> str:
    """One plant alone has the records of its own store, and so their version."""
    if len(members) == 1:
        return members[0].version
    told = sorted((member.plant, member.version) for member in members)
    return hashlib.sha256(json.dumps([JOINING_VERSION, told]).encode()).hexdigest()[:12]


def _common_zone(members: Sequence[Member]) -> str | None:
    zones = {member.time_zone for member in members}
    return zones.pop() if len(zones) == 1 else None


def _take_over(build: Build, members: Sequence[Member]) -> tuple[str, ...]:
    build.run("join/begin")
    for place, member in enumerate(members):
        with build.beside(member.build, "member"):
            build.run("join/survey", {"plant": member.plant, "place": place})
    build.run("join/settle")
    zones_differ = _common_zone(members) is None
    for place, member in enumerate(members):
        asked = {
            "plant": member.plant,
            "place": place,
            "shift": int(build.scalar(sql_text("join/last_source"))),
            "zone": member.time_zone if zones_differ else None,
            "store": str(member.store),
            "version": member.version,
            "clock": member.time_zone,
        }
        with build.beside(member.build, "member"):
            build.run("join/take_over", asked)
    found = build.record("join/outcome")
    build.run("join/end")
    remarks = [
        text.format(**{name: f"{count:,}" for name, count in found.items()})
        for name, text in _SAID.items()
        if found[name]
    ]
    if zones_differ:
        remarks.append(
            "The plants keep different clocks: times stand as each plant's own clock showed them."
        )
    ends = [date.fromisoformat(row["last_claim_on"] or "0001-01-01") for row in plants_of(build)]
    if (max(ends) - min(ends)).days > _APART:
        remarks.append(
            f"The last claims of the plants are of {min(ends)} and {max(ends)}: where they are "
            f"compared, set --cut-off {min(ends)}, or the hulls of the one look sound for want of "
            "claims that are not in yet."
        )
    for text in remarks:
        build.run(
            "intake/add_remark",
            {"source_id": None, "table_name": None, "kind": JOINED, "affected": 0, "text": text},
        )
    return tuple(remarks)

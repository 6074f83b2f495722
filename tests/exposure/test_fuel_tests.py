"""Fuel tests against 33 CFR 183.542 and .582, as records and as a family of their own."""

from __future__ import annotations

import pytest

from tests.exposure.test_checks import check
from tests.exposure.test_exposure import answers, deck_plant, derived
from tests.support.records import Row
from tracegraph.domain.fuel_rule import MEETS, OUT_OF_RULE, breaches, gaps
from tracegraph.exposure.fuel_tests import fuel_tries
from tracegraph.store import Build

FAMILY = "hull: fuel pressure test: by the rule"
TEST = "fuel pressure test"


def work(hull: str, attempt: int = 1, **readings: tuple[float, str]) -> dict[str, list[Row]]:
    """One try as work with readings; left out: a 60 gallon tank of 3 ft, held well."""
    usual = {
        "start_pressure": (3.0 * 6.894757, "kPa"),
        "end_pressure": (3.0 * 6.894757, "kPa"),
        "hold_time": (6.0, "min"),
        "tank_capacity": (60 * 3.785411784, "L"),
        "overflow_height": (3.0, "ft"),
    }
    name = f"FT-{hull}-{attempt}"
    return {
        "operations": [
            {"operation_id": name, "step": TEST, "hull_serial": hull, "attempt": attempt,
             "started_at": f"2025-03-0{attempt} 08:00", "finished_at": f"2025-03-0{attempt} 08:10"}
        ],
        "readings": [
            {"operation_id": name, "quantity": quantity, "value": value, "unit": unit}
            for quantity, (value, unit) in (usual | readings).items()
        ],
        "inspections": [
            {"inspection_id": f"FF-{hull}-{attempt}", "hull_serial": hull, "attempt": attempt,
             "checkpoint": "fuel fittings check", "at": f"2025-03-0{attempt} 08:09",
             "result": "pass"},
        ],
    }  # fmt: skip


def plant(*tried: dict[str, list[Row]], inspections: list[Row] | None = None) -> Build:
    tables: dict[str, list[Row]] = {"inspections": inspections or []}
    for one in tried:
        for name, rows in one.items():
            tables[name] = tables.get(name, []) + rows
    return derived(**deck_plant(4, ["L1"] * 4, **tables))


def test_the_family_tells_who_met_the_rule() -> None:
    build = plant(
        work("H1"),
        work("H2", hold_time=(5.0, "min")),  # 60 gal: 6 minutes are required
        work("H3"),
        inspections=check("H4", "n", TEST),
    )
    assert answers(build, FAMILY) == {
        "H1": {MEETS}, "H2": {OUT_OF_RULE}, "H3": {MEETS}, "H4": {"not done"},
    }  # fmt: skip
    rows = build.rows("SELECT family, kind, stage FROM families WHERE step = 'fuel pressure test'")
    stages = {family: stage for family, _, stage in rows}
    assert {kind for family, kind, _ in rows if family == FAMILY} == {"process reading"}
    # It stands with the outcome of the check, after the work itself.
    assert stages[FAMILY] == stages["hull: fuel pressure test: result"]
    assert stages[FAMILY] > stages["hull: fuel pressure test: weekday"]


def test_the_last_try_that_was_done_counts() -> None:
    build = plant(
        work("H1", end_pressure=(2.0, "psi")),
        work("H1", attempt=2),
        work("H2"),
        work("H3"),
        inspections=[*check("H1", "fp", TEST), *check("H2", "pn", TEST)],
    )
    found = answers(build, FAMILY)
    assert (found["H1"], found["H2"], found["H3"]) == ({MEETS}, {MEETS}, {MEETS})
    assert found["H4"] == {None}  # no record at all
    tries = {(one.hull_id, one.attempt): one for one in fuel_tries(build)}
    first, second = tries[1, 1], tries[1, 2]
    assert (first.result, second.result) == ("fail", "pass")
    assert breaches(first.test) == ("Pressure fell from 3 to 2 psi: any drop is a leak.",)
    assert breaches(second.test) == gaps(second.test) == ()
    assert not tries[2, 2].done


def test_units_are_turned_into_those_of_the_rule() -> None:
    build = plant(
        work("H1", tank_capacity=(50 * 3.785411784, "L"), hold_time=(5 / 60, "h"),
             overflow_height=(0.9144, "m")),
        work("H2", tank_capacity=(51.0, "gal"), overflow_height=(914_400.0, "um")),
        work("H3", tank_capacity=(1.0, "kg")),
    )  # fmt: skip
    first, second, third = (one.test for one in fuel_tries(build))
    assert (first.capacity_gal, first.held_minutes, first.head_ft) == (50.0, 5.0, 3.0)
    assert breaches(first) == ()  # 50 gallons and not a part of 10 more
    assert (second.capacity_gal, second.head_ft) == (51.0, 3.0)
    assert third.capacity_gal is None


def test_where_hardly_any_record_can_tell_the_family_is_not_asked() -> None:
    rows = [row for n in range(1, 5) for row in check(f"H{n}", "p", TEST)]
    build = plant(inspections=rows)
    assert answers(build, FAMILY) == {}
    assert len(fuel_tries(build)) == 4
    assert not any(one.measured for one in fuel_tries(build))


def test_pressure_written_beside_the_result_counts_as_that_at_the_end() -> None:
    rows = check("H1", "p", TEST, value="17.2", unit="kPa", hull_serial="H1")
    (tried,) = fuel_tries(plant(inspections=rows))
    assert tried.test.end_psi == pytest.approx(2.4946, abs=1e-4)
    assert breaches(tried.test) == ("Pressure 2.49 psi at the end; 3 are required.",)
    assert fuel_tries(plant(inspections=rows), hull_id=2) == []

"""The measured value behind each band is kept: one row for each hull and family."""

from __future__ import annotations

import pytest

from tests.support.records import Row, build_of
from tracegraph.exposure import build_exposure
from tracegraph.linkage import link_records
from tracegraph.store import Build


def _plant() -> Build:
    """Deck H3 is sprayed twice, H4 has no reading; the mold is waxed before H2 and H4."""
    serials = [f"H{n}" for n in range(1, 5)]
    operations: list[Row] = [
        {
            "operation_id": f"G-{s}",
            "step": "gelcoat spray",
            "part_serial": f"D-{s}",
            "started_at": f"2025-03-{n:02d} 07:00",
        }
        for n, s in enumerate(serials, 1)
    ]
    operations.append(operations[2] | {"operation_id": "G-again", "attempt": 2})
    readings: list[Row] = [
        {"operation_id": name, "quantity": "ambient_temp", "value": value, "unit": "degC"}
        for name, value in (("G-H1", 18.0), ("G-H2", 21.0), ("G-H3", 19.0), ("G-again", 24.0))
    ]
    build = build_of(
        hulls=[{"hull_serial": s, "model": "S18"} for s in serials],
        parts=[
            {
                "part_serial": f"D-{s}",
                "part": "deck",
                "hull_serial": s,
                "mold_no": "M1",
                "pull_no": n,
                "pulled_at": f"2025-03-{n:02d} 16:00",
            }
            for n, s in enumerate(serials, 1)
        ],
        operations=operations,
        readings=readings,
        mold_events=[
            {"mold_no": "M1", "at": f"2025-03-{day:02d} 06:00", "event": "waxed"} for day in (2, 4)
        ],
    )
    link_records(build)
    build_exposure(build)
    return build


def _values(build: Build, family: str) -> dict[str, tuple[float, float, float]]:
    return {
        serial: (value, low, high)
        for serial, value, low, high in build.rows(
            "SELECT hull_serial, value, low, high FROM measured_values "
            "JOIN families USING (family_id) JOIN hull_index USING (hull_id) "
            "WHERE family = $family",
            {"family": family},
        )
    }


def test_mean_and_range_over_the_operations_of_a_hull() -> None:
    assert _values(_plant(), "deck: gelcoat spray: ambient_temp") == {
        "H1": (18.0, 18.0, 18.0),
        "H2": (21.0, 21.0, 21.0),
        "H3": (21.5, 19.0, 24.0),
    }


def test_days_since_service_count_from_a_service_only() -> None:
    found = _values(_plant(), "deck: mold days since service")
    assert {serial: value for serial, (value, _, _) in found.items()} == {
        "H2": 0.0,
        "H3": 1.0,
        "H4": 0.0,
    }


def test_every_banded_family_keeps_its_values_and_no_hull_comes_twice() -> None:
    build = _plant()
    bare = build.rows(
        "SELECT family FROM families WHERE unit IS NOT NULL AND family_id NOT IN "
        "(SELECT family_id FROM measured_values)"
    )
    assert bare == []
    rows = build.scalar("SELECT count(*) FROM measured_values")
    assert rows == build.scalar(
        "SELECT count(*) FROM (SELECT DISTINCT family_id, hull_id FROM measured_values)"
    )
    assert rows > 0


@pytest.mark.parametrize("family", ["deck: mold", "deck: gelcoat spray: weekday"])
def test_named_answers_have_no_value(family: str) -> None:
    assert _values(_plant(), family) == {}

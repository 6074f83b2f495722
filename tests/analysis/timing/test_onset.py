"""Onset through the store: whose order, who is left out, and what is told of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest

from tests.support.records import Row, build_of
from tracegraph.analysis.timing.changes import changes_near
from tracegraph.analysis.timing.onset import Onset, onset
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError, UnknownNameError
from tracegraph.exposure import build_exposure
from tracegraph.linkage import link_records
from tracegraph.store import Store
from tracegraph.store.reader import as_store

BLISTER = CaseDefinition(symptoms=("blister",), reporting_days=0)
LOT = "deck: gelcoat spray: gelcoat lot"
HULLS = 120
BAD = range(40, 60)
"""Decks sprayed from lot G-2, in the order of spraying."""


def day_of(number: int) -> date:
    return date(2023, 1, 2) + timedelta(days=3 * number)


def make(*, mixed: bool = True, claims: list[int] | None = None) -> Store:
    """Decks sprayed one every third day; hulls completed in another order when ``mixed``."""
    tables: dict[str, list[Row]] = {
        name: [] for name in ("hulls", "parts", "operations", "usages", "components", "mold_events")
    }
    rng = np.random.default_rng(6)
    waits = rng.integers(10, 200, HULLS) if mixed else np.full(HULLS, 10)
    for n in range(HULLS):
        serial, day = f"H{n:03d}", day_of(n)
        tables["hulls"].append(
            {
                "hull_serial": serial,
                "model": "S18",
                "completed_on": day + timedelta(days=int(waits[n])),
                "in_service_on": date(2024, 9, 1),
                "place": "owner",
            }
        )
        tables["parts"].append(
            {
                "part_serial": f"D{n}",
                "part": "deck",
                "hull_serial": serial,
                "mold_no": "M1",
                "pull_no": n + 1,
                "pulled_at": f"{day} 16:00",
            }
        )
        tables["operations"].append(
            {
                "operation_id": f"G{n}",
                "step": "gelcoat spray",
                "part_serial": f"D{n}",
                "operator": "P-07" if n % 2 else "P-08",
                "crew": "C-1" if n < 40 else "C-2",
                "started_at": f"{day} 07:00",
            }
        )
        tables["usages"].append(
            {
                "operation_id": f"G{n}",
                "material": "gelcoat",
                "lot_no": "G-2" if n in BAD else "G-1" if n < 40 else "G-3",
            }
        )
        if n % 6 == 0:
            tables["mold_events"].append(
                {"mold_no": "M1", "at": f"{day} 06:00", "event": "waxed", "pull_no": n}
            )
        tables["components"].append(
            {
                "hull_serial": serial,
                "component": "bilge pump",
                "lot_no": f"B-{n // 30}",
                "fitted_at": f"{day + timedelta(days=5)} 10:00" if n % 10 else None,
            }
        )
    failed = [3, 70, 110, *range(41, 59, 2)] if claims is None else claims
    tables["claims"] = [
        {
            "claim_no": f"C{n}",
            "hull_serial": f"H{n:03d}",
            "opened_on": "2025-03-10",
            "failed_on": "2025-03-10",
            "symptom": "blister",
        }
        for n in failed
    ]
    tables["claims"].append(
        tables["claims"][0] | {"claim_no": "last", "opened_on": "2026-06-01", "symptom": "leak"}
    )
    build = build_of(**tables)
    link_records(build)
    build_exposure(build)
    return as_store(build)


@pytest.fixture(scope="module")
def store() -> Store:
    return make()


@pytest.fixture(scope="module")
def found(store: Store) -> Onset:
    return onset(store, BLISTER, LOT, "G-2", resamples=199)


def test_stretch_is_found_in_the_order_of_spraying(found: Onset) -> None:
    assert (found.reading, found.clock, found.cases, found.at_risk) == ("closed", "worked", 12, 120)
    best = found.shapes.set_index("shape").loc["stretch"]
    assert best["first_at"] == pd.Timestamp(f"{day_of(41)} 07:00")
    assert best["last_at"] == pd.Timestamp(f"{day_of(57)} 07:00")
    assert best["observed"] == 9
    # Every hull was followed alike, so 17 of 120 hulls expect 17/120 of the 12 cases.
    assert best["expected"] == pytest.approx(12 * 17 / 120)
    assert best["rate_ratio"] == pytest.approx((9 / 17) / (3 / 103))
    assert best["p_value"] == pytest.approx(1 / 200)
    assert best["p_gumbel"] < 0.001


def test_limits_of_the_start_hold_the_first_hull_of_the_lot(found: Onset) -> None:
    limits = found.limits.set_index(["edge", "coverage"])
    start = limits.loc[("start", 0.95)]
    assert start["earliest"] <= pd.Timestamp(f"{day_of(40)} 07:00") <= start["latest"]
    assert start["earliest_hull"] <= "H040" <= start["latest_hull"]
    narrow = limits.loc[("start", 0.80)]
    assert start["earliest"] <= narrow["earliest"]
    assert narrow["latest"] <= start["latest"]


def test_curves_rise_to_the_number_of_cases(found: Onset) -> None:
    hulls = found.hulls
    assert hulls["at"].is_monotonic_increasing
    assert hulls["observed_so_far"].iloc[-1] == 12
    assert hulls["expected_so_far"].iloc[-1] == pytest.approx(12.0)
    assert hulls.loc[hulls["state"] == "exposed", "hull_serial"].tolist() == [
        f"H{n:03d}" for n in BAD
    ]
    assert hulls["inside"].sum() == 17


def test_order_of_building_blurs_what_the_step_shows(store: Store, found: Onset) -> None:
    """Hulls were completed in another order than their decks were sprayed."""
    built = onset(store, BLISTER, resamples=199)
    assert (built.clock, built.suspect) == ("built", None)
    assert built.hulls["state"].isna().all()
    sprayed = found.shapes.set_index("shape").loc["stretch", "gain"]
    assert built.shapes.set_index("shape").loc["stretch", "gain"] < sprayed - 2.0


def test_molds_stand_in_the_order_of_pulling_and_pumps_of_fitting(store: Store) -> None:
    assert onset(store, BLISTER, "deck: mold", "M1", resamples=19).clock == "pulled"
    pump = onset(store, BLISTER, "hull: bilge pump: lot", "B-1", resamples=19)
    assert pump.clock == "fitted"
    # Every tenth pump was fitted at a time nobody wrote down; two of those hulls failed.
    assert (pump.left_out, pump.left_out_cases) == (12, 2)
    assert (pump.at_risk, pump.cases) == (108, 10)


def test_service_cycle_is_looked_at_where_there_is_one(store: Store, found: Onset) -> None:
    assert found.shapes["shape"].tolist() == [
        "stretch",
        "step",
        "ramp",
        "weekday",
        "season",
        "service cycle",
    ]
    built = onset(store, BLISTER, resamples=19)
    assert "service cycle" not in built.shapes["shape"].tolist()


def test_every_sixth_pull_before_waxing_is_a_comb() -> None:
    """The last two pulls before each waxing fail all along: nothing but the cycle shows."""
    late = [n for n in range(HULLS) if (n % 6 >= 4 and n % 3 != 2) or n % 24 == 5]
    comb = onset(make(claims=late), BLISTER, LOT, "G-2", resamples=199)
    assert comb.reading == "comb"
    row = comb.shapes.set_index("shape").loc["service cycle"]
    assert row["label"].endswith("pulls and more")
    assert row["turns"] >= 15
    assert row["p_without_strongest"] < 0.01
    assert comb.shapes.set_index("shape").loc["stretch", "p_value"] > 0.05


def test_same_records_same_numbers(store: Store, found: Onset) -> None:
    again = onset(store, BLISTER, LOT, "G-2", resamples=199)
    pd.testing.assert_frame_equal(again.shapes, found.shapes)
    other = onset(store, BLISTER, LOT, "G-1", resamples=199)
    assert not other.shapes["p_gumbel"].equals(found.shapes["p_gumbel"])


def test_too_few_cases_have_no_shape() -> None:
    few = onset(make(claims=[5, 6]), BLISTER, LOT, "G-2", resamples=19)
    assert few.reading == "few"
    assert few.shapes.empty
    assert few.limits.empty
    assert few.hulls["observed_so_far"].iloc[-1] == 2


def test_people_need_a_reason_and_names_must_exist(store: Store) -> None:
    family = "deck: gelcoat spray: operator"
    with pytest.raises(DefinitionError, match="reason"):
        onset(store, BLISTER, family, "P-07")
    assert onset(store, BLISTER, family, "P-07", people_reason="spray training", resamples=9)
    with pytest.raises(UnknownNameError, match="G-2"):
        onset(store, BLISTER, LOT, "G-22")


def test_changes_near_the_edges_are_listed(store: Store, found: Onset) -> None:
    """G-1 gave way to G-2 at hull 40, G-2 to G-3 at hull 60; pumps changed at 30, 60, 90."""
    frame = changes_near(store, found, days=21).frame
    assert frame.columns.tolist()[:5] == ["edge", "family", "kind", "level", "change"]
    told = {(r.edge, r.level, r.change) for r in frame.itertuples()}
    assert ("start", "G-1", "went out") in told
    assert ("start", "G-2", "came in") in told
    assert ("end", "G-2", "went out") in told
    assert ("end", "G-3", "came in") in told
    assert ("end", "B-2", "came in") in told
    assert not {("start", "B-1", "came in"), ("end", "B-3", "came in")} & told
    assert "M1" not in set(frame["level"])  # in use all along
    start = frame[(frame["edge"] == "start") & (frame["level"] == "G-2")].iloc[0]
    assert start["days"] == pytest.approx(-3.0)
    assert start["hulls"] == 20
    assert not frame["kind"].isin(["timing", "drum", "people"]).any()
    asked = changes_near(store, found, days=21, people_reason="crews changed that week").frame
    assert asked.loc[asked["kind"] == "people", "level"].tolist() == ["C-2", "C-1"]


def test_changes_need_an_edge_and_the_same_records(store: Store, found: Onset) -> None:
    few = onset(make(claims=[5, 6]), BLISTER, LOT, "G-2", resamples=19)
    assert changes_near(store, few).frame.empty
    with pytest.raises(DefinitionError, match="negative"):
        changes_near(store, found, days=-1)
    with pytest.raises(DefinitionError, match="reason"):
        changes_near(store, found, people_reason=" ")
    with pytest.raises(DefinitionError, match="Look for the onset again"):
        changes_near(store, replace(found, data_version="other"))

"""Conditions through the store: what is found, what is not known, what is refused."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import numpy as np
import pandas as pd
import pytest

from tests.support.frames import BLISTER as LOT_CLAIMS
from tests.support.frames import plant_of
from tests.support.records import Row, build_of
from tracegraph.analysis.conditions.detail import Condition, examine_condition
from tracegraph.analysis.conditions.table import Conditions, rank_conditions
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import UnknownNameError
from tracegraph.exposure import build_exposure
from tracegraph.linkage import link_records
from tracegraph.store import Store
from tracegraph.store.reader import as_store

BLISTER = CaseDefinition(symptoms=("blister",), reporting_days=0, landmark_months=12)
HULLS = 240
HUMIDITY = "deck: gelcoat spray: relative_humidity"
FILM = "deck: gelcoat spray: wet_film"


@pytest.fixture(scope="module")
def store() -> Store:
    """One deck a day, waxed every eighth; damp ones blister. H000 to H004 have no humidity.

    The last five hulls are not delivered.
    """
    rng = np.random.default_rng(12)
    damp, film = rng.normal(55, 8, HULLS).round(1), rng.normal(420, 40, HULLS).round()
    tables: dict[str, list[Row]] = {
        name: [] for name in ("hulls", "parts", "operations", "readings", "mold_events", "claims")
    }
    for n in range(HULLS):
        serial, day = f"H{n:03d}", date(2023, 1, 2) + timedelta(days=n)
        at = datetime(day.year, day.month, day.day, 8)
        tables["hulls"].append(
            {
                "hull_serial": serial,
                "model": "S18" if n % 3 else "S22",
                "completed_on": day + timedelta(days=20),
                "in_service_on": date(2023, 12, 1) if n < HULLS - 5 else None,
                "place": "owner" if n < HULLS - 5 else "plant",
            }
        )
        tables["parts"].append(
            {
                "part_serial": f"D{n}",
                "part": "deck",
                "hull_serial": serial,
                "mold_no": "M1",
                "pull_no": n + 1,
                "pulled_at": at + timedelta(hours=9),
            }
        )
        tables["operations"].append(
            {
                "operation_id": f"G{n}",
                "step": "gelcoat spray",
                "part_serial": f"D{n}",
                "started_at": at,
            }
        )
        if n % 8 == 0:
            tables["mold_events"].append(
                {"mold_no": "M1", "at": at - timedelta(hours=2), "event": "waxed", "pull_no": n}
            )
        for quantity, value, unit in (
            ("relative_humidity", damp[n], "%"),
            ("wet_film", film[n], "um"),
        ):
            if n >= 5 or quantity == "wet_film":
                tables["readings"].append(
                    {
                        "operation_id": f"G{n}",
                        "quantity": quantity,
                        "value": float(value),
                        "unit": unit,
                    }
                )
    failing = {2, *np.flatnonzero((damp > 62) & (rng.random(HULLS) < 0.7)).tolist()}
    tables["claims"] = [
        {
            "claim_no": f"C{n}",
            "hull_serial": f"H{n:03d}",
            "opened_on": "2024-06-10",
            "failed_on": "2024-06-10",
            "symptom": "blister",
        }
        for n in sorted(failing)
        if n < HULLS - 5
    ]
    tables["claims"].append(
        tables["claims"][0] | {"claim_no": "last", "opened_on": "2025-12-31", "symptom": "leak"}
    )
    build = build_of(**tables)
    link_records(build)
    build_exposure(build)
    return as_store(build)


@pytest.fixture(scope="module")
def table(store: Store) -> Conditions:
    return rank_conditions(store, BLISTER)


@pytest.fixture(scope="module")
def damp(store: Store) -> Condition:
    return examine_condition(store, BLISTER, HUMIDITY, resamples=199)


def test_damp_comes_first_and_holds_within_months_and_weeks(table: Conditions) -> None:
    first = table.frame.iloc[0]
    assert (first["family"], first["reading"]) == (HUMIDITY, "holds")
    assert first["z"] > 4.0
    assert first["median_affected"] > 62.0 > first["median"]
    assert (table.frame["reading"].iloc[1:] == "none").all()
    assert table.frame["p_value"].is_monotonic_increasing


def test_molds_pulls_and_days_since_service_are_conditions(table: Conditions) -> None:
    assert set(table.frame["family"]) == {
        HUMIDITY,
        FILM,
        "deck: mold pulls",
        "deck: mold pulls since service",
        "deck: mold pulls since wax",
        "deck: mold days since service",
    }
    units = table.frame.set_index("family")["unit"]
    assert units["deck: mold pulls"] == "pulls"
    assert units["deck: mold days since service"] == "d"


def test_what_was_not_measured_is_counted_apart(table: Conditions, damp: Condition) -> None:
    row = table.frame.set_index("family").loc[HUMIDITY]
    assert (row["known"], row["unknown"]) == (damp.known, damp.unknown) == (230, 5)
    lost = damp.hulls["value"].isna() & damp.hulls["affected"]
    assert row["unknown_cases"] == damp.unknown_cases == lost.sum() >= 1
    assert row["cases"] == damp.hulls["affected"].sum() - lost.sum()
    assert damp.hulls["value"].isna().sum() == 5
    assert damp.bands.loc[damp.bands["kind"] == "band", "hulls"].sum() == 230


def test_q_pays_for_all_conditions(table: Conditions) -> None:
    p = table.frame["p_value"].to_numpy()
    assert table.frame["q_bh"].iloc[0] == pytest.approx(p[0] * len(p))
    assert (table.frame["q_bh"] >= table.frame["p_value"]).all()


def test_bands_rise_with_the_damp(damp: Condition) -> None:
    bands = damp.bands[damp.bands["kind"] == "band"]
    assert len(bands) == 5
    assert bands["observed"].iloc[-1] > 0.7 * bands["observed"].sum()
    assert bands["rate_ratio_low"].iloc[-1] > 2.0
    assert bands["expected"].sum() == pytest.approx(bands["observed"].sum())
    assert damp.p_bands == pytest.approx(1 / 200)
    tails = damp.bands[damp.bands["kind"] == "tail"]
    assert tails["band"].tolist() == ["lowest tenth", "highest tenth"]
    assert tails["hulls"].between(23, 26).all()


def test_the_planted_threshold_is_the_best_cut(damp: Condition) -> None:
    cuts = damp.cuts.set_index("population")
    assert list(cuts.index) == ["risk sets", "risk sets with season", "landmark"]
    assert cuts["cut"].between(60.5, 62.5).all()
    assert (cuts["side"] == "above").all()
    assert cuts.loc["risk sets", "p_value"] == pytest.approx(1 / 200)
    assert cuts.loc["landmark", "p_value"] < 1e-6
    assert cuts.loc["risk sets", "observed"] > 5 * cuts.loc["risk sets", "expected"] / 2


def test_raw_values_and_times_are_there_to_draw(damp: Condition) -> None:
    hulls = damp.hulls
    assert len(hulls) == 235
    assert hulls["at"].iloc[7] == pd.Timestamp("2023-01-09 08:00")
    assert hulls.loc[hulls["value"].notna(), "low"].equals(hulls["value"].dropna())
    week = hulls["value"].iloc[7:14]  # Monday to Sunday
    assert hulls["week_deviation"].iloc[7] == pytest.approx(week.iloc[0] - week.mean())
    assert (damp.family, damp.unit) == (HUMIDITY, "%")


def test_same_records_same_numbers(store: Store, damp: Condition) -> None:
    again = examine_condition(store, BLISTER, HUMIDITY.upper(), resamples=199)
    pd.testing.assert_frame_equal(again.cuts, damp.cuts)
    assert again.p_bands == damp.p_bands


def test_kinds_can_be_chosen(store: Store) -> None:
    found = rank_conditions(store, BLISTER, kinds=["mold condition"]).frame
    assert set(found["kind"]) == {"mold condition"}
    with pytest.raises(UnknownNameError, match="ambient condition"):
        rank_conditions(store, BLISTER, kinds=["lot"])


def test_a_named_family_is_no_condition(store: Store) -> None:
    with pytest.raises(UnknownNameError, match="measured condition"):
        examine_condition(store, BLISTER, "deck: mold")


def test_without_a_case_nothing_is_said(store: Store) -> None:
    definition = CaseDefinition(symptoms=("leak",), reporting_days=0, service_months=(90, None))
    found = rank_conditions(store, definition).frame
    assert (found["cases"] == 0).all()
    assert found["p_value"].isna().all()
    assert set(found["reading"]) == {"none"}
    detail = examine_condition(store, definition, HUMIDITY, resamples=9)
    assert detail.p_bands == 1.0
    assert detail.cuts["p_value"].tolist() == [1.0, 1.0, 1.0]
    assert detail.bands["observed"].sum() == 0


def test_a_plant_that_measured_nothing_has_no_conditions() -> None:
    store = plant_of({"A": 9, "B": 9}, [("A", 3)], {"A": "L1", "B": "L2"})
    found = rank_conditions(store, LOT_CLAIMS)
    assert found.frame.empty
    assert {"family", "z", "p_season", "q_bh", "reading"} <= set(found.frame.columns)
    with pytest.raises(UnknownNameError):
        rank_conditions(store, LOT_CLAIMS, kinds=["ambient condition"])

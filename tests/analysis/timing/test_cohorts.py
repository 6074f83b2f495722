"""The triangle of build months and service months, counted by hand."""

from __future__ import annotations

from random import Random

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.records import Row, build_of
from tracegraph.analysis.timing.cohorts import BuildCohorts, build_cohorts
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import DefinitionError
from tracegraph.exposure import build_exposure
from tracegraph.linkage import link_records
from tracegraph.store.reader import as_store

DATES = {"completed_on", "in_service_on", "exit_on", "opened_on", "failed_on"}
BLISTER = CaseDefinition(symptoms=("blister",), reporting_days=0)


def hull(serial: str, built: str | None, delivered: str | None, **more: str) -> Row:
    return {
        "hull_serial": serial,
        "model": "S18",
        "completed_on": built,
        "in_service_on": delivered,
        "place": "owner" if delivered else "plant",
    } | more


def claim(number: str, serial: str, day: str, symptom: str = "blister") -> Row:
    return {
        "claim_no": number,
        "hull_serial": serial,
        "opened_on": day,
        "failed_on": day,
        "symptom": symptom,
    }


# Cut-off 2025-07-01. January: A1 followed 5 months, A2 4, A3 left after 2; A4 fails in month 3.
# March: B1 and B2 followed 2 months, B2 fails in month 1; B3 is not delivered.
HULLS = [
    hull("A1", "2025-01-10", "2025-02-01"),
    hull("A2", "2025-01-20", "2025-03-01"),
    hull("A3", "2025-01-25", "2025-02-01", exit_on="2025-04-01"),
    hull("A4", "2025-01-30", "2025-02-01"),
    hull("B1", "2025-03-10", "2025-05-01"),
    hull("B2", "2025-03-12", "2025-05-01"),
    hull("B3", "2025-03-14", None),
    hull("U1", None, "2025-06-01"),
]
CLAIMS = [
    claim("C1", "A4", "2025-04-20"),
    claim("C2", "B2", "2025-05-20"),
    claim("C3", "A1", "2025-07-01", symptom="leak"),
]


def cohorts(
    width: int = 1, hulls: list[Row] = HULLS, claims: list[Row] = CLAIMS, period: int = 1
) -> BuildCohorts:
    build = build_of(hulls=hulls, claims=claims)
    link_records(build)
    build_exposure(build)
    return build_cohorts(as_store(build), BLISTER, width=width, period=period)


def row(found: BuildCohorts, month: str, to_month: int) -> pd.Series:
    cells = found.cells.assign(key=found.cells["built_month"].dt.strftime("%Y-%m"))
    return cells[(cells["key"] == month) & (cells["to_month"] == to_month)].iloc[0]


def test_cells_by_hand() -> None:
    found = cohorts()
    table = found.cells.groupby(found.cells["built_month"].dt.strftime("%Y-%m"))
    january = table.get_group("2025-01")
    assert january["to_month"].tolist() == [1, 2, 3, 4, 5]
    assert january["from_month"].tolist() == [0, 2, 3, 4, 5]
    assert january["followed"].tolist() == [4, 4, 3, 3, 2]
    # A3 has left for good and waits for nothing; A2 may still reach month 5.
    assert january["waiting"].tolist() == [0, 0, 0, 0, 1]
    assert january["hull_months"].tolist() == [4, 4, 3, 2, 1]
    assert january["claims"].tolist() == [0, 0, 1, 0, 0]
    assert january["per_100"].tolist() == pytest.approx([0, 0, 100 / 3, 0, 0])
    assert january["so_far"].tolist() == pytest.approx([0, 0, 100 / 3, 100 / 3, 100 / 3])
    assert january["state"].tolist() == ["complete"] * 4 + ["partial"]
    march = table.get_group("2025-03")
    assert march["followed"].tolist() == [2, 2, 0, 0, 0]
    assert march["waiting"].tolist() == [1, 1, 3, 3, 3]
    assert march["state"].tolist() == ["partial", "partial", "not yet", "not yet", "not yet"]
    assert march["per_100"].tolist()[:2] == pytest.approx([50.0, 0.0])
    assert np.isnan(march["so_far"].iloc[2])


def test_wider_cells_weigh_by_the_months_seen() -> None:
    found = cohorts(width=2)
    wide = row(found, "2025-01", 4)
    assert (wide["from_month"], wide["hull_months"], wide["claims"]) == (3, 5, 1)
    assert wide["per_100"] == pytest.approx(100 * 2 / 5)
    assert row(found, "2025-01", 6)["state"] == "not yet"


def test_a_longer_period_adds_its_months_up() -> None:
    """January and March make one quarter: hulls and claims add up, and the worse state stands."""
    by_month, by_quarter = cohorts(), cohorts(period=3)
    assert by_quarter.months["built_month"].dt.strftime("%Y-%m").tolist() == ["2025-01"]
    for name in ("followed", "waiting", "hull_months", "claims"):
        added = by_month.cells.groupby("to_month")[name].sum()
        assert by_quarter.cells[name].tolist() == added.tolist()
    assert by_quarter.cells["state"].tolist() == ["partial"] * 5
    for name in ("hulls", "observed", "expected"):
        assert by_quarter.months[name].sum() == pytest.approx(by_month.months[name].sum())
    assert by_quarter.undated == 1


@pytest.mark.parametrize("period", [0, 5, 24])
def test_a_period_must_part_a_year(period: int) -> None:
    with pytest.raises(DefinitionError, match="which part a year evenly"):
        cohorts(period=period)


def test_maturity_corrects_each_build_month() -> None:
    """Rates: 1 of 7 in month 1 and 1 of 3 in month 3 among hulls followed so far."""
    months = cohorts().months
    months = months.set_index(months["built_month"].dt.strftime("%Y-%m"))
    one, three = 1 / 7, 1 / 3
    assert months.loc["2025-01", "expected"] == pytest.approx(4 * one + 3 * three)
    assert months.loc["2025-03", "expected"] == pytest.approx(2 * one)
    assert months["observed"].tolist() == [1, 1]
    assert months.loc["2025-03", "ratio"] == pytest.approx(1 / (2 * one))
    assert months.loc["2025-03", "maturity"] == pytest.approx(2 * one / (3 * (one + three)))
    assert months["delivered"].tolist() == [4, 2]
    # Garwood's limits of one event: 0.0253 and 5.5716.
    assert months.loc["2025-03", "low"] == pytest.approx(0.025317807984 / (2 * one))
    assert months.loc["2025-03", "high"] == pytest.approx(5.571643390939 / (2 * one))


def test_a_hull_without_a_build_date_is_compared_but_shown_nowhere() -> None:
    found = cohorts()
    assert found.undated == 1
    assert found.months["hulls"].sum() == 7


def test_claims_in_the_cells_are_the_cases() -> None:
    found = cohorts()
    assert found.cells["claims"].sum() == found.months["observed"].sum() == 2


def test_a_young_month_is_not_called_good() -> None:
    """Twenty hulls a month, the same rate; the youngest month has no claim and no verdict."""
    hulls, claims = [], []
    for month in (1, 5):
        for n in range(20):
            serial = f"{month}-{n}"
            hulls.append(hull(serial, f"2025-{month:02d}-05", f"2025-{month:02d}-20"))
    claims += [claim(f"C{n}", f"1-{n}", "2025-06-10") for n in range(6)]
    claims.append(claim("last", "1-0", "2025-07-01", symptom="leak"))
    months = cohorts(hulls=hulls, claims=claims).months
    assert months["ratio"].tolist()[0] == pytest.approx(1.0)
    assert np.isnan(months["ratio"].iloc[1])
    assert months["maturity"].tolist() == [1.0, 0.0]


def test_no_claim_of_the_symptom_leaves_ratios_open() -> None:
    found = cohorts(claims=[CLAIMS[2], claim("C9", "A1", "2025-06-30", symptom="blister")])
    assert found.months["observed"].sum() == 1
    assert np.isnan(found.months["ratio"].iloc[1])


def test_width_must_be_a_month_or_more() -> None:
    with pytest.raises(DefinitionError, match="width"):
        cohorts(width=0)


@settings(max_examples=5)
@given(st.integers(-300, 300), st.randoms(use_true_random=False))
def test_row_order_and_whole_months_change_nothing(months: int, random: Random) -> None:
    """All dates moved by whole months: the same cells under other names."""

    def moved(rows: list[Row]) -> list[Row]:
        result = []
        for row in rows:
            row = dict(row)
            for name in DATES & set(row):
                if row[name] is not None:
                    day = pd.Timestamp(row[name]) + pd.DateOffset(months=months)
                    row[name] = str(day.date())
            result.append(row)
        random.shuffle(result)
        return result

    one = cohorts()
    other = cohorts(hulls=moved(HULLS), claims=moved(CLAIMS))
    names = [name for name in one.cells.columns if name != "built_month"]
    pd.testing.assert_frame_equal(other.cells[names], one.cells[names])
    shift = one.months["built_month"] + pd.DateOffset(months=months)
    assert other.months["built_month"].tolist() == shift.tolist()
    assert other.months["expected"].tolist() == pytest.approx(one.months["expected"].tolist())

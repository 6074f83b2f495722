"""Measured conditions in words, tables, values and a figure."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tracegraph.analysis.conditions.detail import Condition, examine_condition
from tracegraph.analysis.conditions.table import Conditions, rank_conditions
from tracegraph.domain.definition import CaseDefinition
from tracegraph.report.charts import condition_chart
from tracegraph.report.conditions import (
    condition_as_json,
    conditions_as_json,
    conditions_sentences,
    conditions_table,
    detail_sentences,
    detail_tables,
)
from tracegraph.store import open_store

VOID = CaseDefinition(symptoms=("void",))
PULLS = "hull: mold pulls since repair"


@pytest.fixture(scope="module")
def molds(sample_store: Path) -> Conditions:
    with open_store(sample_store) as store:
        return rank_conditions(store, VOID, kinds=("mold condition",))


@pytest.fixture(scope="module")
def pulls(sample_store: Path) -> Condition:
    with open_store(sample_store) as store:
        return examine_condition(store, VOID, PULLS, resamples=99)


def test_what_goes_with_the_claims_is_named_with_its_season(molds: Conditions) -> None:
    said = conditions_sentences(molds)
    assert said[0].startswith("20 measured conditions tested as measured")
    assert said[1].startswith(
        "hull: mold pulls since repair is higher on affected hulls, median 43.5 pulls against 27 "
        "pulls on hulls at risk (z 3.79, p 1.5 × 10⁻⁴, q "
    )
    assert said[1].endswith(
        "affected hulls differ also from others of their month and of their week."
    )
    table = conditions_table(molds, 3)
    assert table.texts()["reads"].iloc[0] == "holds"
    assert table.caption.startswith("The first 3 of 20 conditions")


def test_nothing_found_names_the_nearest_only(molds: Conditions) -> None:
    even = replace(molds, frame=molds.frame.assign(reading="none", q_bh=0.7))
    said = conditions_sentences(even)
    assert said[1].startswith("None goes with the claims once all are paid for. The nearest: ")
    assert len(said) == 2
    blank = replace(molds, frame=molds.frame.assign(p_value=float("nan")))
    assert conditions_sentences(blank) == (
        "No measured condition has a value on an affected hull: there is nothing to test.",
    )
    assert conditions_as_json(blank, 1)["conditions"][0]["words"] == (
        "hull: mold pulls since repair: no affected hull has a value."
    )


def test_a_searched_cut_is_paid_for_in_words(pulls: Condition) -> None:
    said = detail_sentences(pulls)
    assert said[0].startswith("Rank test of hull: mold pulls since repair: against hulls at risk")
    assert "(99 resamples), high and low ends alike" in said[1]
    assert said[2].startswith(
        "The best of 59 cuts: 30 cases above 18 pulls, where 21.2 were to be expected; a search "
        "finds as much in claims dealt out by chance with p "
    )
    headings = [heading for heading, _ in detail_tables(pulls)]
    assert headings == [
        "Bands, and the lowest and highest tenth", "Where claims differ most", "On the plain table"
    ]  # fmt: skip
    value = condition_as_json(pulls)
    assert value["cuts"][2]["hulls"] is None
    assert len(value["hulls"]) == len(pulls.hulls)


def test_the_figure_sets_affected_hulls_on_those_to_be_expected(pulls: Condition) -> None:
    known = pulls.hulls[pulls.hulls["value"].notna()]
    # Each case is shared out among the hulls at risk at its age.
    assert known["expected"].sum() == pytest.approx(known["affected"].sum())
    assert (pulls.hulls.loc[pulls.hulls["value"].isna(), "expected"] == 0.0).all()
    chart = condition_chart(pulls)
    bars, dots = chart.figure.data
    assert sum(bars.y) == pytest.approx(32)
    assert len(dots.x) == 32
    assert chart.table.frame["affected"].sum() == 32
    assert chart.alt == (
        "hull: mold pulls since repair: median 43.5 pulls on 32 affected hulls, 27 pulls on 1,103 "
        "hulls at risk."
    )


def test_a_condition_that_nobody_measured_or_that_never_varies(pulls: Condition) -> None:
    blank = replace(pulls, hulls=pulls.hulls.assign(value=float("nan")))
    assert condition_chart(blank).alt == "No hull at risk has a value."
    same = condition_chart(replace(pulls, hulls=pulls.hulls.assign(value=20.0)))
    assert len(same.table.frame) == 1

"""One suspect from all sides, in words and tables."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tracegraph.analysis.confounding.missing import MissingRecords
from tracegraph.analysis.matched.loading import StoredExposure, stored_exposure
from tracegraph.analysis.other_complaints import other_complaints
from tracegraph.analysis.suspect import Examined, examine_suspect
from tracegraph.domain.definition import CaseDefinition
from tracegraph.report.suspect import suspect_as_json, suspect_sentences
from tracegraph.report.suspect_tables import curve_table, suspect_tables
from tracegraph.store import Store, open_store

VOID = CaseDefinition(symptoms=("void",))


@pytest.fixture(scope="module")
def mold(sample_store: Path) -> Examined:
    with open_store(sample_store) as store:
        return examine_suspect(store, VOID, "hull: mold", "S22-H2")


def test_both_curves_and_the_shapes_are_tables(mold: Examined) -> None:
    tables = dict(suspect_tables(mold))
    first = tables["First claims by months in service (Nelson and Aalen)"]
    last = first.frame.iloc[-1]
    assert last["months"] == mold.curves.first_stops_at
    assert last["with it: claims so far"] == 24
    curve = mold.curves.first
    end = curve[curve["group"] == "exposed"]["per_hull"].iloc[-1]
    assert last["with it: per 100"] == pytest.approx(100 * end)
    every = tables["All claims by months in service (mean cumulative function)"].frame
    assert every["with it: claims so far"].iloc[-1] == 26
    shapes = tables["Shapes along the order of building, by when the part was pulled"]
    assert list(shapes.texts()["shape"])[:3] == [
        "stretch", "stretch to the last hull", "steady rise or fall"
    ]  # fmt: skip
    assert "Where that stretch began and ended" not in tables  # nothing was read into it
    assert len(tables["Early and late in service"].frame) == 2


def test_a_curve_without_anybody_at_risk_says_so() -> None:
    nothing = pd.DataFrame(
        columns=["group", "month", "at_risk", "claims", "per_hull", "low", "high"]
    )
    table = curve_table(nothing)
    assert table.frame.empty
    assert table.caption == "No month at which five hulls with it are at risk."


def test_other_complaints_are_a_negative_control(mold: Examined) -> None:
    complaints = mold.complaints
    assert "void" not in set(complaints["symptom"])
    assert complaints["p_value"].is_monotonic_increasing
    assert not complaints["raised"].any()
    said = suspect_sentences(mold)
    assert any(
        text.startswith("Of 16 other complaints on its hulls none is raised") for text in said
    )
    raised = complaints.assign(raised=complaints["symptom"] == "porosity")
    assert any(
        "porosity is raised" in text for text in suspect_sentences(replace(mold, complaints=raised))
    )


def test_missing_records_are_bounded_both_ways(mold: Examined) -> None:
    missing = MissingRecords(9, 2, 0.7, 0.9, 0.01, 3.0, 0.001, 30.0)
    found = replace(mold, missing=missing)
    assert (
        "Not recorded for 9 hulls at risk, 2 of them affected: the rate ratio would be 3 if none "
        "of these carried it, 30 if all the affected and no others did. The records of affected "
        "hulls are there more or less often than those of others (p 0.010): the ratio may be off."
    ) in suspect_sentences(found)
    assert suspect_as_json(found)["missing_records"]["highest_ratio"] == 30.0


def test_a_complaint_is_counted_under_the_same_limits(sample_store: Path) -> None:
    with open_store(sample_store) as store:
        whole, narrow = (
            _complaints(store, definition, stored_exposure(store))
            for definition in (VOID, replace(VOID, models=("S22",)))
        )
    assert whole["hulls"].iloc[0] > narrow["hulls"].iloc[0]


def _complaints(store: Store, definition: CaseDefinition, stored: StoredExposure) -> pd.DataFrame:
    everyone = stored.matrix.carries(0) | np.True_
    return other_complaints(store, definition, everyone, ())

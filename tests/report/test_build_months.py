"""The triangle of build periods and months in service, in words, tables and a figure."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tracegraph.analysis.timing.cohorts import BuildCohorts, build_cohorts
from tracegraph.domain.definition import CaseDefinition
from tracegraph.report.build_months import (
    against_expected_table,
    build_month_sentences,
    build_months_as_json,
    cell_text,
    cells_table,
    triangle_table,
)
from tracegraph.report.charts import triangle_chart
from tracegraph.store import open_store


@pytest.fixture(scope="module")
def found(sample_store: Path) -> BuildCohorts:
    with open_store(sample_store) as store:
        return build_cohorts(store, CaseDefinition(symptoms=("void",)), width=3, period=3)


def test_what_is_not_complete_is_said_in_each_cell(found: BuildCohorts) -> None:
    table = triangle_table(found).frame.set_index("built")
    assert list(table.columns[:3]) == ["hulls", "0–3", "4–6"]
    states = found.cells.assign(text=[*_texts(found)]).groupby("state")["text"].agg(set)
    assert states["not yet"] == {"not yet"}
    assert all(text.endswith(" so far") for text in states["partial"])
    assert not any("so far" in text or "not yet" in text for text in states["complete"])
    assert set(table.to_numpy()[:, 1:].ravel()) == set(_texts(found))


def _texts(found: BuildCohorts) -> list[str]:
    return [
        cell_text(per_100, state)
        for per_100, state in zip(found.cells["per_100"], found.cells["state"], strict=True)
    ]


def test_the_figure_marks_open_squares_by_a_sign_and_leaves_the_rest_empty(
    found: BuildCohorts,
) -> None:
    chart = triangle_chart(found)
    complete, partial = chart.figure.data
    said = [text for row in partial.text for text in row if text]
    assert said
    assert all(text.endswith("…") for text in said)
    assert not any("…" in text for row in complete.text for text in row)
    drawn = sum(bool(text) for trace in chart.figure.data for row in trace.text for text in row)
    assert drawn == (found.cells["state"] != "not yet").sum()
    assert "still to come" in "".join(text for row in partial.hovertext for text in row)
    assert chart.alt.startswith("16 periods of building, from 2022-07 to 09 to 2026-04 to 06.")
    assert "not complete" in chart.alt


def test_periods_that_claim_more_than_others_followed_as_long_are_named(
    found: BuildCohorts,
) -> None:
    said = build_month_sentences(found)
    assert said[0].startswith("32 first claims of hulls built in 16 periods.")
    assert said[1] == "No period claims more than that, each looked at by itself."
    assert said[2] == "Too young to say anything: 2 periods."
    months = found.months.copy()
    months.loc[2, ["observed", "expected", "ratio", "low"]] = [9, 2.0, 4.5, 2.06]
    told = build_month_sentences(replace(found, months=months))
    assert told[1] == (
        "More than that, each looked at by itself: 2023-01 to 03 (9 where 2 were to be expected)."
    )
    expected = against_expected_table(found)
    assert expected.frame["first claims"].sum() == 32
    assert expected.texts()["maturity, %"].iloc[1] == "100"
    assert len(cells_table(found).frame) == len(found.cells)


def test_json_holds_both_frames(found: BuildCohorts) -> None:
    value = build_months_as_json(found)
    assert (value["months_to_a_row"], value["months_to_a_column"]) == (3, 3)
    assert sum(cell["claims"] for cell in value["cells"]) == 32
    assert value["periods"][-1]["ratio"] is None


def test_without_build_dates_it_says_so(found: BuildCohorts) -> None:
    empty = replace(found, months=found.months.head(0), cells=found.cells.head(0))
    assert build_month_sentences(empty)[0].startswith("No hull has a build date")
    assert triangle_chart(empty).alt == "No hull has a build date."

"""The figure of missing records, on a small case that can be counted by eye."""

from __future__ import annotations

import pandas as pd
import pytest

from tracegraph.analysis.completeness import Completeness
from tracegraph.report.charts import completeness_chart


def _found(recorded: list[int]) -> Completeness:
    rows = pd.DataFrame(
        {
            "built_month": pd.to_datetime(["2025-01-01", "2025-02-01", "2025-01-01", None]),
            "family": ["deck: <b>lot</b>", "deck: <b>lot</b>", "hull: mold", "hull: mold"],
            "kind": ["material lot", "material lot", "mold", "mold"],
            "part": ["deck", "deck", "hull", "hull"],
            "step": ["spray", "spray", "", ""],
            "hulls": [10, 20, 10, 4],
            "recorded": recorded,
        }
    )
    rows["score"] = rows["recorded"] / rows["hulls"]
    return Completeness(rows, rows, rows, "v")


def test_the_question_with_the_most_missing_records_stands_first() -> None:
    chart = completeness_chart(_found([9, 15, 10, 3]))
    (squares,) = chart.figure.data
    assert list(squares.x) == ["2025-01", "2025-02", "not dated"]
    assert list(squares.z[0])[:2] == pytest.approx([10.0, 25.0])
    assert list(chart.figure.layout.yaxis.ticktext) == [
        "deck: &lt;b&gt;lot&lt;/b&gt;",
        "hull: mold",
    ]
    assert "Most: deck: <b>lot</b>, 6 of 30 missing." in chart.alt
    assert "Poorest month: deck: <b>lot</b> of 2025-02, 5 of 20 missing." in chart.alt
    # Complete months are left out of the table; "hull: mold" misses one of four, undated.
    assert list(chart.table.frame["missing"]) == [5, 1, 1]
    assert list(chart.table.frame["built in"]) == ["2025-02", "2025-01", "not dated"]


def test_only_the_poorest_questions_are_drawn() -> None:
    chart = completeness_chart(_found([9, 15, 10, 3]), top=1)
    assert len(chart.figure.data[0].z) == 1
    assert len(chart.table.frame) == 3


def test_complete_records_say_so() -> None:
    chart = completeness_chart(_found([10, 20, 10, 4]))
    assert chart.alt == "No record is missing in 2 questions."
    assert chart.figure.layout.annotations[0].text == "No expected record is missing."
    assert chart.table.frame.empty

"""The bar that shrinks: no step holds more hulls than the one before it."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from tests.report.rankings import frame_of
from tracegraph.report.charts import ladder_chart, ladder_steps

LADDER = {"built": 1200, "shipped": 1150, "in service": 1137, "followed to the landmark": 268}


def test_each_step_shows_what_is_left_and_what_it_takes_away() -> None:
    row = frame_of([(9, 52, 3, 190)]).iloc[0].to_dict() | {"unknown": 14}
    chart = ladder_chart(ladder_steps(LADDER, row))
    left, gone = chart.figure.data
    assert list(left.x) == [1200, 1150, 1137, 268, 268, 254]
    assert list(gone.x) == [0, 50, 13, 869, 0, 14]
    assert chart.figure.layout.annotations[1].text == "<b>1,150</b>   50 fewer"
    assert chart.alt == "254 of 1,200 hulls are left at the last step, answer on record."
    assert chart.table.frame["hulls"].tolist() == list(left.x)


def test_a_step_without_records_is_left_out() -> None:
    steps = ladder_steps(LADDER | {"shipped": 0})
    assert [name for name, _ in steps] == ["built", "in service", "followed to the landmark"]


@given(st.lists(st.integers(0, 500), min_size=1, max_size=6))
def test_hulls_only_leave(numbers: list[int]) -> None:
    steps = ladder_steps({str(place): number for place, number in enumerate(numbers)})
    assert all(before >= now for (_, before), (_, now) in pairwise(steps))
    assert steps[-1][1] == numbers[-1]
    assert sum(ladder_chart(steps).figure.data[1].x) == steps[0][1] - steps[-1][1]

from __future__ import annotations

import datetime as dt

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.synthetic.cells import day_text, number_text, time_text
from tracegraph.synthetic.hulls import NEVER
from tracegraph.synthetic.workdays import minute


@given(st.lists(st.dates(dt.date(1990, 1, 1), dt.date(2090, 1, 1)), min_size=1, max_size=20))
def test_days_read_back(days: list[dt.date]) -> None:
    numbers = np.array([(d - dt.date(1970, 1, 1)).days for d in days])
    assert day_text(numbers).tolist() == [d.isoformat() for d in days]


def test_a_day_that_has_not_come_is_blank() -> None:
    assert day_text(np.array([NEVER, 0])).tolist() == ["", "1970-01-01"]


def test_times_in_two_styles() -> None:
    time = np.array([minute("2024-03-04") + 7 * 60 + 5])
    assert time_text(time).tolist() == ["2024-03-04 07:05"]
    assert time_text(time, "%m/%d/%Y").tolist() == ["03/04/2024 07:05"]


@given(
    st.lists(st.integers(-(10**7), 10**7), min_size=1, max_size=30),
    st.integers(0, 3),
)
def test_numbers_keep_their_decimals(scaled: list[int], digits: int) -> None:
    values = np.array(scaled) / 10**digits
    text = number_text(values, digits).tolist()
    assert [round(float(t) * 10**digits) for t in text] == scaled
    if digits:
        assert all(len(t.split(".")[1]) == digits for t in text)


def test_no_number_is_blank() -> None:
    assert number_text(np.array([np.nan, 2.0]), 1).tolist() == ["", "2.0"]

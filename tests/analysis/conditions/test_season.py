"""Months and weeks of the work, by the site's own clock."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.analysis.conditions.season import Baselines, Calendar, weekly_deviation
from tracegraph.analysis.timing.followed import Followed


def times(at: list[str | None], built: list[str | None] | None = None) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "at": pd.to_datetime(pd.Series(at, dtype="object")).astype("datetime64[us]"),
            "built_at": pd.to_datetime(pd.Series(built or at, dtype="object")).astype(
                "datetime64[us]"
            ),
        }
    )


def test_month_and_week_follow_the_sites_clock() -> None:
    """Eleven at night in UTC is already Monday, and June, further east."""
    calendar = Calendar.of(times(["2025-05-31 23:30", "2025-06-01 23:30"]), "Europe/Berlin")
    assert calendar.month.tolist() == [6, 6]
    assert calendar.week[1] == calendar.week[0] + 1
    utc = Calendar.of(times(["2025-05-31 23:30", "2025-06-01 23:30"]), "UTC")
    assert utc.month.tolist() == [5, 6]
    assert utc.week[0] == utc.week[1]


def test_the_day_of_building_stands_in_where_most_work_has_no_time() -> None:
    calendar = Calendar.of(
        times([None, None, "2025-01-01"], ["2025-03-03", None, "2025-03-10"]), "UTC"
    )
    assert calendar.month.tolist() == [3, 0, 3]
    assert calendar.week.tolist()[1] == -1
    assert calendar.week[2] == calendar.week[0] + 1


def test_deviation_by_hand() -> None:
    values = np.array([10.0, 14.0, 20.0, np.nan, 5.0, 9.0])
    week = np.array([1, 1, 2, 1, -1, -1])
    assert weekly_deviation(values, week) == pytest.approx(
        [-2, 2, np.nan, np.nan, np.nan, np.nan], nan_ok=True
    )


@given(
    st.lists(st.tuples(st.floats(-50, 50), st.integers(-1, 4)), min_size=1, max_size=30),
    st.floats(-1000, 1000),
)
def test_deviations_of_a_week_cancel_and_ignore_a_shift(
    rows: list[tuple[float, int]], shift: float
) -> None:
    values, week = (np.array(column) for column in zip(*rows, strict=True))
    found = weekly_deviation(values, week)
    for number in set(week.tolist()) - {-1}:
        own = found[week == number]
        assert np.isnan(own).all() if len(own) == 1 else abs(own.sum()) < 1e-6
    moved = weekly_deviation(values + shift, week)
    assert moved == pytest.approx(found, abs=1e-6, nan_ok=True)


def test_a_bad_season_weighs_its_hulls() -> None:
    """Hulls of January fail five times as often as those of July, in one model."""
    month = np.repeat([1, 7], 200)
    case = np.where(np.arange(400) < 50, 5, np.where(np.arange(400) >= 390, 5, -1))
    hulls = Followed.of(np.full(400, 12), case, {"model": np.zeros(400, np.int64)})
    calendar = Calendar(month, month, pd.Series(pd.NaT, index=range(400)))
    found = Baselines.of(hulls, calendar)
    assert np.ptp(found.model) == pytest.approx(0.0)
    assert 3.0 < found.season[0] / found.season[-1] < 5.5

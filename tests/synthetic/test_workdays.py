from __future__ import annotations

import datetime as dt

import numpy as np

from tracegraph.synthetic.workdays import (
    DAY_LENGTH,
    WorkCalendar,
    day_of,
    fit_in_day,
    minute,
    month_of_year,
)


def open_days(first: str, last: str) -> set[dt.date]:
    days = WorkCalendar.between(first, last).days
    return {dt.date(1970, 1, 1) + dt.timedelta(int(d)) for d in days}


def test_the_yard_rests_on_weekends_and_holidays() -> None:
    days = open_days("2024-01-01", "2024-12-31")
    closed = ["2024-01-01", "2024-05-01", "2024-07-04", "2024-08-05", "2024-12-26", "2024-06-08"]
    # the fourth Thursday of November 2024 is the 28th
    closed += ["2024-11-28", "2024-11-29"]
    for day in closed:
        assert dt.date.fromisoformat(day) not in days, day
    for day in ("2024-01-02", "2024-07-05", "2024-08-15", "2024-11-21", "2024-12-23"):
        assert dt.date.fromisoformat(day) in days, day
    assert all(d.weekday() < 5 for d in days)


def test_the_friday_after_a_fourth_thursday_on_the_22nd() -> None:
    days = open_days("2029-11-01", "2029-11-30")  # 22 November 2029 is the fourth Thursday
    assert dt.date(2029, 11, 22) not in days
    assert dt.date(2029, 11, 23) not in days
    assert dt.date(2029, 11, 30) in days


def test_working_time_skips_nights_and_weekends() -> None:
    calendar = WorkCalendar.between("2024-03-01", "2024-03-29")
    work = np.array([0, DAY_LENGTH - 1, DAY_LENGTH, 2 * DAY_LENGTH + 5])
    clock = calendar.clock(work).astype("datetime64[m]").astype(str).tolist()
    assert clock == [
        "2024-03-01T06:00",
        "2024-03-01T21:59",
        "2024-03-04T06:00",
        "2024-03-05T06:05",
    ]


def test_work_that_ends_at_closing_time_stays() -> None:
    start = np.array([DAY_LENGTH - 60, DAY_LENGTH - 59])
    assert fit_in_day(start, np.array([60, 60])).tolist() == [DAY_LENGTH - 60, DAY_LENGTH]


def test_days_and_months_of_minutes() -> None:
    time = np.array([minute("2024-02-29") + 1439, minute("2024-03-01")])
    assert (day_of(time)[1] - day_of(time)[0], month_of_year(time).tolist()) == (1, [2, 3])

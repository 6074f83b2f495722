from __future__ import annotations

import numpy as np
import pytest

from tracegraph.synthetic.weather import make_weather
from tracegraph.synthetic.workdays import minute, month_of_year
from tracegraph.synthetic.yard import LOGGED_STATIONS

FIRST, LAST = "2023-01-01", "2025-12-31"
WEATHER = make_weather(np.random.default_rng(4), FIRST, LAST)
HOURS = minute(FIRST) + 60 * np.arange(WEATHER.temperature["Booth 1"].size)


def test_one_value_an_hour_to_the_last_hour() -> None:
    assert HOURS[-1] == minute("2026-01-01") - 60
    for station in LOGGED_STATIONS:
        assert WEATHER.humidity[station].size == HOURS.size


def test_winter_is_colder_and_drier_than_summer() -> None:
    month = month_of_year(HOURS)
    for station in LOGGED_STATIONS:
        air, damp = WEATHER.temperature[station], WEATHER.humidity[station]
        assert air[month == 1].mean() + 4 < air[month == 7].mean()
        assert damp[month == 1].mean() < damp[month == 7].mean()


def test_halls_stay_within_what_a_heated_hall_can_have() -> None:
    for station in LOGGED_STATIONS:
        assert WEATHER.temperature[station].min() > 10
        assert WEATHER.temperature[station].max() < 40
        assert WEATHER.humidity[station].min() >= 22
        assert WEATHER.humidity[station].max() <= 93


@pytest.mark.parametrize(("lag_hours", "least"), [(1, 0.8), (24, 0.45)])
def test_weather_persists(lag_hours: int, least: float) -> None:
    month = month_of_year(HOURS)
    air = WEATHER.temperature["Lam hall"]
    clean = air - np.array([air[month == m].mean() for m in range(1, 13)])[month - 1]
    assert np.corrcoef(clean[:-lag_hours], clean[lag_hours:])[0, 1] > least


def test_a_reading_is_that_hours_value() -> None:
    time = np.array([minute("2024-02-10") + 125])
    air, damp = WEATHER.at("Booth 2", time)
    row = int((time[0] - minute(FIRST)) // 60)
    assert air[0] == WEATHER.temperature["Booth 2"][row]
    assert damp[0] == WEATHER.humidity["Booth 2"][row]

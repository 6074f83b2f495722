"""Hourly air temperature and humidity in the three halls with a logger.

Outdoors follows the season with a persistent daily disturbance; the halls are heated, but
not enough on the coldest days. Values are rounded to what the logger shows before anything
else uses them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from tracegraph.synthetic.workdays import Minutes
from tracegraph.synthetic.yard import LOGGED_STATIONS

Values = NDArray[np.float64]

DAY_PERSISTENCE = 0.8
HOUR_PERSISTENCE = 0.7


@dataclass(frozen=True)
class Weather:
    """Logger series of every hall.

    Attributes
    ----------
    first_hour : int
        Hours since 1970 of the first value.
    temperature, humidity : dict of str to ndarray
        Station to hourly values: degC to 0.1, % to 1.
    """

    first_hour: int
    temperature: dict[str, Values]
    humidity: dict[str, Values]

    def at(self, station: str, time: Minutes) -> tuple[Values, Values]:
        """Temperature (degC) and relative humidity (%) of a hall at clock minutes."""
        hour = np.clip(time // 60 - self.first_hour, 0, self.temperature[station].size - 1)
        return self.temperature[station][hour], self.humidity[station][hour]


def _persistent(rng: np.random.Generator, n: int, persistence: float, spread: float) -> Values:
    """Stationary AR(1) series with the given standard deviation."""
    innovations = rng.standard_normal(n) * spread * (1 - persistence**2) ** 0.5
    if n:
        innovations[0] /= (1 - persistence**2) ** 0.5
    series: Values = lfilter([1.0], [1.0, -persistence], innovations)
    return series


def make_weather(rng: np.random.Generator, first: str, last: str) -> Weather:
    """Hourly weather of the halls between two ISO days, both included."""
    start = np.datetime64(first, "h")
    hours = int((np.datetime64(last, "D") + 1 - np.datetime64(first, "D")).astype(int)) * 24
    day = np.arange(hours) // 24
    of_year = (np.datetime64(first, "D") + day).astype("datetime64[D]")
    of_year = (of_year - of_year.astype("datetime64[Y]")).astype(np.int64)
    season = np.cos(2 * np.pi * (of_year - 20) / 365.25)  # 1 in late January
    clock = np.cos(2 * np.pi * (np.arange(hours) % 24 - 15) / 24)  # 1 at 15:00
    days = int(day[-1]) + 1
    outdoors = 12 - 13 * season + _persistent(rng, days, DAY_PERSISTENCE, 4.0)[day] + 4 * clock
    damp = 57 - 9 * season + _persistent(rng, days, DAY_PERSISTENCE, 9.0)[day]
    temperature: dict[str, Values] = {}
    humidity: dict[str, Values] = {}
    for place, station in enumerate(LOGGED_STATIONS):
        shift = (0.0, -0.6, 0.4)[place]
        heated = np.where(outdoors < 18, 21 + 0.20 * (outdoors - 18), 21 + 0.6 * (outdoors - 18))
        noise = _persistent(rng, hours, HOUR_PERSISTENCE, 0.5)
        temperature[station] = np.round(heated + shift + noise, 1)
        wet = damp - 4 * clock + _persistent(rng, hours, HOUR_PERSISTENCE, 3.0)
        humidity[station] = np.clip(np.round(wet), 22, 93)
    return Weather(int(start.astype(np.int64)), temperature, humidity)

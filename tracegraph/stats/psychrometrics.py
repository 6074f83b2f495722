"""Dew point of shop air, and how far a mold surface stands above it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tracegraph.stats.arrays import Floats

MAGNUS_B = 17.62
MAGNUS_C = 243.12
"""Magnus coefficients over water (Sonntag 1990), the second in degrees Celsius."""


def dew_point(air_temperature: ArrayLike, relative_humidity: ArrayLike) -> Floats:
    """Dew point over water by the Magnus formula.

    Parameters
    ----------
    air_temperature : float or array of float
        Degrees Celsius; the formula is meant for -45 to 60.
    relative_humidity : float or array of float
        Per cent, above 0 and at most 100.

    Returns
    -------
    array of float
        Degrees Celsius; nan where the humidity is missing, 0 or less, or above 100.

    Notes
    -----
    Between 5 and 40 °C it stays within 0.04 °C of the ASHRAE formulas wherever the dew
    point is 0 °C or above. Below 0 °C this is the dew point over water, not the frost
    point over ice, which lies a little higher.

    References
    ----------
    .. [1] D. Sonntag, Important new values of the physical constants of 1986, vapour
       pressure formulations based on the ITS-90, and psychrometer formulae,
       Zeitschrift für Meteorologie 40:340-344, 1990.

    Examples
    --------
    >>> dew_point([25.0, 20.0], [50.0, 0.0]).round(2)
    array([13.85,   nan])
    """
    t, rh = np.asarray(air_temperature, np.float64), np.asarray(relative_humidity, np.float64)
    share = np.where((rh > 0.0) & (rh <= 100.0), rh, np.nan) / 100.0
    g = np.log(share) + MAGNUS_B * t / (MAGNUS_C + t)
    return np.asarray(MAGNUS_C * g / (MAGNUS_B - g))


def dew_point_margin(
    surface_temperature: ArrayLike, air_temperature: ArrayLike, relative_humidity: ArrayLike
) -> Floats:
    """Height of a surface temperature above the dew point of the air around it.

    Parameters
    ----------
    surface_temperature : float or array of float
        Degrees Celsius; of the mold or laminate, not of the air.
    air_temperature, relative_humidity : float or array of float
        Degrees Celsius and per cent, as in `dew_point`.

    Returns
    -------
    array of float
        Degrees; negative where water condenses on the surface, nan where the dew point is.
        A margin below about 3 °C (5 °F) is common practice's limit for coating work.

    Examples
    --------
    A cold mold in warm damp air is wet.

    >>> float(dew_point_margin(15.0, 25.0, 60.0).round(1))
    -1.7
    """
    return np.asarray(
        np.asarray(surface_temperature, np.float64) - dew_point(air_temperature, relative_humidity)
    )

"""Cycles over which the building order is folded: weekday, season, pulls since a service."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pandas as pd

from tracegraph.analysis.timing.shapes import Fold
from tracegraph.stats.arrays import Floats, Ints

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_FIFTHS = (0.2, 0.4, 0.6, 0.8)


def calendar_folds(local: pd.Series) -> list[Fold]:
    """Weekday and season.

    Parameters
    ----------
    local : Series of datetime, shape (h,)
        Time of each hull by the site's clock; NaT: in no bin.

    Returns
    -------
    list of Fold
        Seven weekdays over the weeks, twelve months over the years.
    """
    known = local.notna().to_numpy()
    days = np.zeros(len(local), np.int64)
    days[known] = local[known].to_numpy().astype("datetime64[D]").astype(np.int64)
    weekday = (days + 3) % 7  # 1970-01-01 was a Thursday
    month, year = (part.fillna(0).to_numpy(np.int64) for part in (local.dt.month, local.dt.year))
    return [
        Fold("weekday", WEEKDAYS, np.where(known, weekday, -1), (days + 3) // 7, True),
        Fold("season", MONTHS, np.where(known, month - 1, -1), year, True),
    ]


def service_fold(pulls: Floats, turn: Ints) -> Fold | None:
    """Pulls of the mold since it was last looked after, in fifths of all hulls.

    Parameters
    ----------
    pulls : array of float, shape (h,)
        nan where not known.
    turn : array of int, shape (h,)
        Number of the stretch between services.

    Returns
    -------
    Fold or None
        None when there are fewer than two different values.
    """
    known = np.isfinite(pulls)
    if not known.any():
        return None
    edges = np.unique(np.ceil(np.quantile(pulls[known], _FIFTHS)))
    edges = edges[edges > pulls[known].min()]
    if not len(edges):
        return None
    bins = np.full(len(pulls), -1)
    bins[known] = np.searchsorted(edges, pulls[known], side="right")
    inner = [
        f"{low:.0f} pulls" if high == low + 1 else f"{low:.0f} to {high - 1:.0f} pulls"
        for low, high in pairwise(edges.tolist())
    ]
    labels = (f"below {edges[0]:.0f} pulls", *inner, f"{edges[-1]:.0f} pulls and more")
    return Fold("service cycle", labels, bins, turn, False)

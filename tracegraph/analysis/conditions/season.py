"""Season and week of the work to which a condition belongs.

Heat and damp come and go with the year, and so does much else. A condition that is to blame
should also tell hulls of one month, and of one week, apart.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from tracegraph.analysis.matched.differences import codes
from tracegraph.analysis.timing.followed import Followed
from tracegraph.stats.arrays import Floats, Ints
from tracegraph.store import Connection

NO_DATE = 0


@dataclass(frozen=True, eq=False)
class Calendar:
    """When the work on each hull was done, by the site's clock; one entry per hull.

    Parameters
    ----------
    month : array of int, shape (h,)
        Month of the year from 1; 0 where no time is known.
    week : array of int, shape (h,)
        Weeks, beginning on Monday, since the first of 1970; -1 where not known.
    at : Series of datetime
        The time itself, UTC; NaT where not known.
    """

    month: Ints
    week: Ints
    at: pd.Series

    @classmethod
    def of(cls, times: pd.DataFrame, zone: str) -> Calendar:
        """Read months and weeks off times.

        Parameters
        ----------
        times : DataFrame
            ``at`` (UTC) and ``built_at`` (a day): the second stands in where fewer than
            half of the hulls have the first.
        zone : str
            The site's time zone.
        """
        worked = times["at"].notna().mean() >= 0.5
        at = times["at"] if worked else times["built_at"]
        local = at.dt.tz_localize("UTC").dt.tz_convert(zone).dt.tz_localize(None) if worked else at
        known = local.notna().to_numpy()
        days = np.zeros(len(local), np.int64)
        days[known] = local[known].to_numpy().astype("datetime64[D]").astype(np.int64)
        month = local.dt.month.fillna(NO_DATE).to_numpy(np.int64)
        return cls(month, np.where(known, (days + 3) // 7, -1), at)


@dataclass(frozen=True, eq=False)
class Baselines:
    """Rates of hulls relative to each other, by what is known of them beside the condition.

    Parameters
    ----------
    model : array of float, shape (h,)
        By model.
    season : array of float, shape (h,)
        By model and month of the year.
    """

    model: Floats
    season: Floats

    @classmethod
    def of(cls, hulls: Followed, calendar: Calendar) -> Baselines:
        """Estimate both, shrunken towards no difference."""
        margins = hulls.margins | {"month of year": codes(calendar.month)}
        dated = replace(hulls, margins=margins)
        return cls(hulls.weights(("model",)), dated.weights(("model", "month of year")))


def calendar_of(session: Connection, part: str, step: str, zone: str) -> Calendar:
    """Calendar of one step of one part.

    Parameters
    ----------
    session : Connection
        Line to a store.
    part, step : str
        Of the family; an empty step means the part as a whole, which was pulled once.
    zone : str
        The site's time zone.
    """
    return Calendar.of(session.frame("conditions/times", {"part": part, "step": step}), zone)


def weekly_deviation(values: Floats, week: Ints) -> Floats:
    """Values less the mean of their week.

    Parameters
    ----------
    values : array of float, shape (h,)
        nan where nothing was measured.
    week : array of int, shape (h,)
        -1 where not known.

    Returns
    -------
    array of float, shape (h,)
        nan also where a week holds one value only: it has nothing to be compared with.

    Examples
    --------
    >>> weekly_deviation(np.array([10.0, 14.0, 20.0]), np.array([7, 7, 8]))
    array([-2.,  2., nan])
    """
    known = np.isfinite(values) & (week >= 0)
    place = np.zeros(len(values), np.int64)
    _, place[known] = np.unique(week[known], return_inverse=True)
    count = np.bincount(place[known], minlength=1)
    mean = np.bincount(place[known], values[known], minlength=1) / np.maximum(count, 1)
    return np.where(known & (count[place] > 1), values - mean[place], np.nan)

"""Repeated events: mean cumulative number of claims per unit by age."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tracegraph.stats.arrays import Floats, Ints


@dataclass(frozen=True, eq=False)
class MeanCumulative:
    """Mean cumulative function: events per unit up to each age.

    Parameters
    ----------
    age : array of float, shape (k,)
        Ages at which events happened, ascending.
    at_risk, events : array of int, shape (k,)
        Units followed to that age at least, and events at it.
    estimate : array of float, shape (k,)
        Events per unit up to and including that age.
    robust_error : array of float, shape (k,)
        Standard error that allows units to differ (Lawless and Nadeau).
    poisson_error : array of float, shape (k,)
        Standard error as if the events came independently.
    """

    age: Floats
    at_risk: Ints
    events: Ints
    estimate: Floats
    robust_error: Floats
    poisson_error: Floats

    def at(self, age: ArrayLike) -> Floats:
        """Read the function at any ages; 0 before the first event."""
        position = np.searchsorted(self.age, np.asarray(age, np.float64), side="right")
        return np.concatenate([[0.0], self.estimate])[position]


def mean_cumulative(end: ArrayLike, unit: ArrayLike, age: ArrayLike) -> MeanCumulative:
    """Estimate the mean cumulative number of events by age.

    Parameters
    ----------
    end : array of float, shape (n,)
        Age to which each unit was followed; it counts as at risk up to and including it.
    unit : array of int, shape (e,)
        Position among the units of the one each event happened to.
    age : array of float, shape (e,)
        Age of that unit at the event.

    Returns
    -------
    MeanCumulative
        One entry per distinct age of events.

    Raises
    ------
    ValueError
        If an event lies beyond the end of its unit's follow-up.

    References
    ----------
    .. [1] W. Nelson, Technometrics 37:147-157, 1995.
    .. [2] J. F. Lawless and C. Nadeau, Technometrics 37:158-168, 1995.

    Examples
    --------
    Three boats followed for 12, 24 and 36 months, with two claims on the first.

    >>> curve = mean_cumulative([12, 24, 36], [0, 0, 2], [3, 8, 30])
    >>> curve.estimate.round(3)
    array([0.333, 0.667, 1.667])
    """
    follow_up, who = np.asarray(end, np.float64), np.asarray(unit, np.int64)
    when = np.asarray(age, np.float64)
    late = when > follow_up[who]
    if late.any():
        first = int(np.flatnonzero(late)[0])
        raise ValueError(
            f"Event {first} happened at age {when[first]:g}, but its unit was followed to "
            f"{follow_up[who[first]]:g}. Give the follow-up of every unit at least to its events."
        )
    times, position = np.unique(when, return_inverse=True)
    d = np.bincount(position, minlength=len(times)).astype(np.int64)
    ended = np.searchsorted(np.sort(follow_up), times, side="left")
    r = len(follow_up) - ended
    return MeanCumulative(
        age=times,
        at_risk=r.astype(np.int64),
        events=d,
        estimate=np.cumsum(d / r),
        robust_error=np.sqrt(_robust_variance(follow_up, who, position, times, d, r)),
        poisson_error=np.sqrt(np.cumsum(d / r.astype(np.float64) ** 2)),
    )


def _robust_variance(
    follow_up: Floats, who: Ints, position: Ints, times: Floats, d: Ints, r: Ints
) -> Floats:
    """Sum over units of their squared departures from the mean.

    A unit departs by its own events over the number at risk, less what the mean took in
    its name while it was followed. Units without events are summed in one go.
    """
    taken = np.cumsum(d / r.astype(np.float64) ** 2)
    # What the mean has taken in a unit's name by the end of its follow-up.
    in_full = np.concatenate([[0.0], taken])[np.searchsorted(times, follow_up, side="right")]
    order = np.argsort(follow_up, kind="stable")
    ended = len(follow_up) - r
    squares = np.concatenate([[0.0], np.cumsum(in_full[order] ** 2)])
    total = squares[ended] + r * taken**2
    for one in np.unique(who):
        own = np.zeros(len(times))
        np.add.at(own, position[who == one], 1.0)
        own = np.cumsum(own / r)
        mean = np.minimum(taken, in_full[one])
        total = total + own**2 - 2.0 * own * mean
    result: Floats = np.maximum(total, 0.0)
    return result

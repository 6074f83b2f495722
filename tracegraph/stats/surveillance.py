"""Control charts and cumulative sums for counts over time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import xlogy
from scipy.stats import poisson

from tracegraph.stats.arrays import Bools, Floats


@dataclass(frozen=True, eq=False)
class ControlChart:
    """Points of a control chart with limits three standard deviations out.

    Parameters
    ----------
    value : array of float, shape (n,)
        What is charted: counts, or shares.
    center : float
        Average over all points.
    low, high : array of float, shape (n,)
        Limits at each point; never below 0, nor above 1 for shares.
    outside : array of bool, shape (n,)
        Points strictly beyond a limit; a point on the limit is inside.
    """

    value: Floats
    center: float
    low: Floats
    high: Floats
    outside: Bools


@dataclass(frozen=True, eq=False)
class Cusum:
    """Cumulative sums of a series.

    Parameters
    ----------
    upper, lower : array of float, shape (n,)
        Sums of what exceeds, and of what falls short of, the target by more than the
        allowance.
    first_signal : int or None
        Position of the first point at which a sum exceeds the decision limit.
    """

    upper: Floats
    lower: Floats
    first_signal: int | None


def c_chart(counts: ArrayLike) -> ControlChart:
    """Chart of counts over periods of equal opportunity.

    Parameters
    ----------
    counts : array of int, shape (n,)
        At least one count.

    Returns
    -------
    ControlChart
        Limits ``mean ± 3 sqrt(mean)``.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.3.1.

    Examples
    --------
    >>> chart = c_chart([16, 14, 28, 6])
    >>> chart.center, chart.high, chart.outside.any()
    (16.0, array([28., 28., 28., 28.]), np.False_)
    """
    value = np.asarray(counts, np.float64)
    center = float(value.mean())
    return _chart(value, center, np.full(len(value), 3.0 * center**0.5), np.inf)


def p_chart(counts: ArrayLike, sizes: ArrayLike) -> ControlChart:
    """Chart of shares, each out of its own number of units.

    Parameters
    ----------
    counts : array of int, shape (n,)
        Units with the property.
    sizes : int or array of int, shape (n,)
        All units of each period, at least 1.

    Returns
    -------
    ControlChart
        Limits ``p ± 3 sqrt(p (1 - p) / size)`` around the pooled share.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.3.2.
    """
    k = np.asarray(counts, np.float64)
    n = np.broadcast_to(np.asarray(sizes, np.float64), k.shape)
    center = float(k.sum() / n.sum())
    return _chart(k / n, center, 3.0 * np.sqrt(center * (1.0 - center) / n), 1.0)


def _chart(value: Floats, center: float, reach: Floats, largest: float) -> ControlChart:
    low, high = np.maximum(0.0, center - reach), np.minimum(largest, center + reach)
    slack = 1e-9 * np.maximum(1.0, np.abs(high))
    outside = (value > high + slack) | (value < low - slack)
    return ControlChart(value, center, low, high, outside)


def tabular_cusum(values: ArrayLike, *, target: float, allowance: float, limit: float) -> Cusum:
    """Two-sided cumulative sum of departures from a target.

    Parameters
    ----------
    values : array of float, shape (n,)
        The series.
    target, allowance : float
        Departures of up to the allowance from the target do not add up.
    limit : float
        A sum above it is a signal.

    Returns
    -------
    Cusum
        The sums run on after a signal.

    References
    ----------
    .. [1] NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3.

    Examples
    --------
    >>> tabular_cusum([0, 2, 3], target=0, allowance=1, limit=2.5).upper
    array([0., 1., 3.])
    """
    x = np.asarray(values, np.float64)
    upper = _running_sum(x - target - allowance)
    lower = _running_sum(target - allowance - x)
    signal = np.flatnonzero((upper > limit) | (lower > limit))
    return Cusum(upper, lower, int(signal[0]) if len(signal) else None)


def rate_ratio_cusum(observed: ArrayLike, expected: ArrayLike, *, ratio: float = 2.0) -> Floats:
    """Cumulative sum of evidence that claims come at a multiple of what is expected.

    Parameters
    ----------
    observed, expected : array of float, shape (n,)
        Claims of each period, and those expected from the age and number of units.
    ratio : float, default 2.0
        Rate ratio to detect soonest, above 1.

    Returns
    -------
    array of float, shape (n,)
        Log likelihood ratio for that ratio since the sum was last at 0:
        ``max(0, sum + observed log ratio - expected (ratio - 1))``.

    Examples
    --------
    >>> rate_ratio_cusum([0, 3, 2], [1.0, 1.0, 1.0]).round(3)
    array([0.   , 1.079, 1.466])
    """
    o, e = np.asarray(observed, np.float64), np.asarray(expected, np.float64)
    return _running_sum(o * np.log(ratio) - e * (ratio - 1.0))


def excess_log_likelihood(observed: ArrayLike, expected: ArrayLike) -> Floats:
    """Log likelihood ratio of the best-fitting excess against none.

    Parameters
    ----------
    observed, expected : array of float
        Claims so far, and those expected, above 0.

    Returns
    -------
    array of float
        ``expected - observed + observed log(observed / expected)`` where more were
        observed than expected, else 0.

    References
    ----------
    .. [1] M. Kulldorff et al., Sequential Analysis 30:58-78, 2011.

    Examples
    --------
    >>> excess_log_likelihood([5, 1], [2.0, 2.0]).round(3)
    array([1.581, 0.   ])
    """
    o, e = np.asarray(observed, np.float64), np.asarray(expected, np.float64)
    return np.where(o > e, e - o + xlogy(o, o / e), 0.0)


def _running_sum(steps: Floats) -> Floats:
    """Sum that starts at 0 and is never below it."""
    total = np.cumsum(steps)
    floor = np.minimum(0.0, np.minimum.accumulate(total))
    result: Floats = total - floor
    return result


def poisson_cusum_run_length(mean: float, *, reference: int, limit: int) -> float:
    """Average number of periods until a Poisson cumulative sum signals.

    The sum is ``max(0, sum + count - reference)``, starts at 0 and signals when it is at
    least ``limit``.

    Parameters
    ----------
    mean : float
        Expected count per period.
    reference, limit : int
        Whole numbers, 1 or more, so that the sum moves on whole numbers.

    Returns
    -------
    float
        Average run length, counted in periods.

    Raises
    ------
    ValueError
        If ``reference`` or ``limit`` is not a whole number above 0.

    References
    ----------
    .. [1] D. Brook and D. A. Evans, Biometrika 59:539-549, 1972.

    Examples
    --------
    >>> round(poisson_cusum_run_length(1.0, reference=2, limit=3), 1)
    151.6
    """
    if reference != int(reference) or limit != int(limit) or reference < 1 or limit < 1:
        raise ValueError(
            f"reference and limit must be whole numbers, 1 or more; got {reference} and {limit}. "
            "Round them, or scale the counts."
        )
    state = np.arange(int(limit))
    jump = state[None, :] - state[:, None] + int(reference)
    stay = np.where(state[None, :] > 0, poisson.pmf(jump, mean), poisson.cdf(jump, mean))
    return float(np.linalg.solve(np.eye(len(state)) - stay, np.ones(len(state)))[0])

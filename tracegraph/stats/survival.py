"""Time to the first failure: Kaplan-Meier and Nelson-Aalen curves.

Units that have not failed count for as long as they were followed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtri

from tracegraph.stats.arrays import Bools, Floats, Ints


@dataclass(frozen=True, eq=False)
class StepCurve:
    """A curve that changes at the ages of failures and is flat between them.

    Parameters
    ----------
    age : array of float, shape (k,)
        Ages at which units failed, ascending.
    at_risk, failed : array of int, shape (k,)
        Units followed to that age at least, and those that failed at it.
    estimate, standard_error : array of float, shape (k,)
        From that age on.
    start : float
        Value before the first age: 1 for survival, 0 for cumulative hazard.
    """

    age: Floats
    at_risk: Ints
    failed: Ints
    estimate: Floats
    standard_error: Floats
    start: float

    def at(self, age: ArrayLike) -> Floats:
        """Read the curve at any ages.

        Parameters
        ----------
        age : float or array of float
            Ages, in the unit of the curve.

        Returns
        -------
        array of float
            The estimate at each age; the last one beyond the last failure.
        """
        position = np.searchsorted(self.age, np.asarray(age, np.float64), side="right")
        return np.concatenate([[self.start], self.estimate])[position]


def kaplan_meier(age: ArrayLike, failed: ArrayLike) -> StepCurve:
    """Share of units that survive each age, with Greenwood's standard error.

    Parameters
    ----------
    age : array of float, shape (n,)
        Age at failure, or age to which the unit was followed.
    failed : array of bool, shape (n,)
        Which units failed. A unit that failed at an age is at risk at it, and so is
        one that was followed exactly to it.

    Returns
    -------
    StepCurve
        The standard error is 0 where the curve reaches 0.

    References
    ----------
    .. [1] E. L. Kaplan and P. Meier, JASA 53:457-481, 1958.
    .. [2] M. Greenwood, The natural duration of cancer, 1926.

    Examples
    --------
    >>> curve = kaplan_meier([9, 13, 13, 18, 23], [True, True, False, True, True])
    >>> curve.estimate.round(3)
    array([0.8, 0.6, 0.3, 0. ])
    """
    times, at_risk, d = _table(age, failed)
    estimate = np.asarray(np.cumprod(1.0 - d / at_risk), np.float64)
    left = np.where(d < at_risk, at_risk - d, np.inf)
    error = np.asarray(estimate * np.sqrt(np.cumsum(d / (at_risk * left))), np.float64)
    return StepCurve(times, at_risk, d, estimate, error, start=1.0)


def nelson_aalen(age: ArrayLike, failed: ArrayLike) -> StepCurve:
    """Cumulative hazard, with its Poisson standard error.

    Parameters
    ----------
    age, failed : array, shape (n,)
        As in `kaplan_meier`.

    Returns
    -------
    StepCurve
        The standard error is the root of the sum of ``d / r**2``.

    References
    ----------
    .. [1] W. Nelson, Technometrics 14:945-966, 1972.
    .. [2] O. Aalen, Annals of Statistics 6:701-726, 1978.

    Examples
    --------
    >>> curve = nelson_aalen([9, 13, 13, 18, 23], [True, True, False, True, True])
    >>> curve.at([8, 13, 20]).round(3)
    array([0.  , 0.45, 0.95])
    """
    times, at_risk, d = _table(age, failed)
    error = np.sqrt(np.cumsum(d / at_risk.astype(np.float64) ** 2))
    return StepCurve(times, at_risk, d, np.cumsum(d / at_risk), error, start=0.0)


def quantile(curve: StepCurve, share: float = 0.5) -> float:
    """Smallest age by which at least a share of the units has failed.

    Parameters
    ----------
    curve : StepCurve
        From `kaplan_meier`.
    share : float, default 0.5
        Between 0 and 1; 0.5 gives the median.

    Returns
    -------
    float
        Infinite when the curve does not come down that far.
    """
    reached = np.flatnonzero(curve.estimate <= 1.0 - share + 1e-12)
    return float(curve.age[reached[0]]) if len(reached) else float("inf")


def log_limits(curve: StepCurve, *, confidence: float = 0.95) -> tuple[StepCurve, StepCurve]:
    """Limits of a survival curve, taken on the log scale.

    Parameters
    ----------
    curve : StepCurve
        From `kaplan_meier`.
    confidence : float, default 0.95
        Between 0 and 1, pointwise.

    Returns
    -------
    low, high : StepCurve
        Curves of the limits, at most 1; their quantiles bound the quantiles of the
        survival curve.
    """
    z = float(ndtri(0.5 + confidence / 2))
    s = np.where(curve.estimate > 0, curve.estimate, 1.0)
    factor = np.exp(z * curve.standard_error / s)
    return (
        _with_estimate(curve, curve.estimate / factor),
        _with_estimate(curve, np.minimum(1.0, curve.estimate * factor)),
    )


def _with_estimate(curve: StepCurve, estimate: Floats) -> StepCurve:
    return StepCurve(
        curve.age, curve.at_risk, curve.failed, estimate, curve.standard_error, curve.start
    )


def _table(age: ArrayLike, failed: ArrayLike) -> tuple[Floats, Ints, Ints]:
    """Ages of failures with the numbers at risk and failed there."""
    t, event = np.asarray(age, np.float64), np.asarray(failed, np.bool_)
    times = np.unique(t[event])
    ordered = np.sort(t)
    at_risk = len(t) - np.searchsorted(ordered, times, side="left")
    d = _count(t, event, times)
    return times, at_risk.astype(np.int64), d


def _count(t: Floats, event: Bools, times: Floats) -> Ints:
    position = np.searchsorted(times, t[event])
    return np.bincount(position, minlength=len(times)).astype(np.int64)

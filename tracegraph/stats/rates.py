"""Claims per unit of exposure, and the ratio of two such rates, with exact limits."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import gammaincinv
from scipy.stats import binom

from tracegraph.stats.arrays import Floats
from tracegraph.stats.exact import RELATIVE_SLACK
from tracegraph.stats.proportion import clopper_pearson


@dataclass(frozen=True)
class RateComparison:
    """Two rates compared, given the total number of events.

    Parameters
    ----------
    ratio : float
        First rate over second; infinite without events in the second, nan without any.
    low, high : float
        Exact limits.
    p_value : float
        Exact two-sided: splits no more probable than the observed one.
    mid_p : float
        The same with the observed split counted by half.
    confidence : float
        Confidence of the limits.
    """

    ratio: float
    low: float
    high: float
    p_value: float
    mid_p: float
    confidence: float


def garwood(
    count: ArrayLike, exposure: ArrayLike = 1.0, *, confidence: float = 0.95
) -> tuple[Floats, Floats]:
    """Exact limits of a Poisson rate.

    Parameters
    ----------
    count : int or array of int
        Events, 0 or more.
    exposure : float or array of float, default 1.0
        Units times time over which they were counted, above 0.
    confidence : float, default 0.95
        Between 0 and 1. One limit of a 90 % pair is a one-sided 95 % limit.

    Returns
    -------
    low, high : array of float
        Events per unit of exposure; exactly 0 below when the count is 0.

    References
    ----------
    .. [1] F. Garwood, Biometrika 28:437-442, 1936.

    Examples
    --------
    >>> low, high = garwood(10, exposure=250)
    >>> round(float(low), 4), round(float(high), 4)
    (0.0192, 0.0736)
    """
    k, size = np.asarray(count, np.float64), np.asarray(exposure, np.float64)
    tail = (1.0 - confidence) / 2.0
    low = np.where(k > 0, gammaincinv(np.maximum(k, 1.0), tail), 0.0)
    return np.asarray(low / size), np.asarray(gammaincinv(k + 1.0, 1.0 - tail) / size)


def compare_rates(
    count: int,
    exposure: float,
    other_count: int,
    other_exposure: float,
    *,
    confidence: float = 0.95,
) -> RateComparison:
    """Compare two Poisson rates by the exact conditional test.

    Parameters
    ----------
    count, exposure : int and float
        Events and exposure of the first group, exposure above 0.
    other_count, other_exposure : int and float
        The same of the second group.
    confidence : float, default 0.95
        Between 0 and 1.

    Returns
    -------
    RateComparison
        Given the total, the first count is binomial with the first group's share of
        the exposure when the rates are equal.

    References
    ----------
    .. [1] J. Przyborowski and H. Wilenski, Biometrika 31:313-323, 1940.
    .. [2] K. J. Rothman, Modern Epidemiology, 1986 (the worked example).

    Examples
    --------
    Breast cancer after fluoroscopy (Boice and Monson 1977, in Rothman).

    >>> result = compare_rates(41, 28010, 15, 19017)
    >>> round(result.ratio, 3), round(result.p_value, 4)
    (1.856, 0.0409)
    """
    total = count + other_count
    if total == 0:
        return RateComparison(float("nan"), 0.0, float("inf"), 1.0, 1.0, confidence)
    share = exposure / (exposure + other_exposure)
    scale = other_exposure / exposure
    low, high = (float(x) for x in clopper_pearson(count, total, confidence=confidence))
    law = binom(total, share)
    probability = law.pmf(np.arange(total + 1))
    own = float(probability[count])
    p_value = float(probability[probability <= own * (1.0 + RELATIVE_SLACK)].sum())
    return RateComparison(
        ratio=count / other_count * scale if other_count else float("inf"),
        low=low / (1.0 - low) * scale,
        high=high / (1.0 - high) * scale if high < 1.0 else float("inf"),
        p_value=min(1.0, p_value),
        mid_p=min(1.0, p_value) - 0.5 * own,
        confidence=confidence,
    )

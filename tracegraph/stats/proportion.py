"""Intervals for one proportion, for arrays of counts."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import betaincinv, ndtri

from tracegraph.stats.arrays import Floats


def wilson(
    count: ArrayLike, total: ArrayLike, *, confidence: float = 0.95
) -> tuple[Floats, Floats]:
    """Wilson's score interval, without continuity correction.

    Parameters
    ----------
    count, total : int or array of int
        Units with the property and all units, ``0 <= count <= total``.
    confidence : float, default 0.95
        Between 0 and 1.

    Returns
    -------
    low, high : array of float
        Exactly 0 below when the count is 0, exactly 1 above when it is the total;
        0 and 1 when there are no units.

    References
    ----------
    .. [1] R. G. Newcombe, Statistics in Medicine 17:857-872, 1998, method 3.

    Examples
    --------
    >>> low, high = wilson(81, 263)
    >>> round(float(low), 4), round(float(high), 4)
    (0.2553, 0.3662)
    """
    k, n = np.asarray(count, np.float64), np.asarray(total, np.float64)
    z2 = float(ndtri(0.5 + confidence / 2)) ** 2
    centre = 2.0 * k + z2
    half = np.sqrt(z2 * (z2 + 4.0 * k * np.where(n > 0, 1.0 - k / np.where(n > 0, n, 1.0), 0.0)))
    scale = 2.0 * (n + z2)
    low = np.where(k == 0, 0.0, (centre - half) / scale)
    high = np.where(k == n, 1.0, (centre + half) / scale)
    return low, high


def clopper_pearson(
    count: ArrayLike, total: ArrayLike, *, confidence: float = 0.95
) -> tuple[Floats, Floats]:
    """Exact interval from the two binomial tails.

    Parameters
    ----------
    count, total : int or array of int
        Units with the property and all units, ``0 <= count <= total``.
    confidence : float, default 0.95
        Between 0 and 1.

    Returns
    -------
    low, high : array of float
        0 below when the count is 0, 1 above when it is the total.

    References
    ----------
    .. [1] C. J. Clopper and E. S. Pearson, Biometrika 26:404-413, 1934.

    Examples
    --------
    >>> low, high = clopper_pearson(0, 20)
    >>> float(low), round(float(high), 6)
    (0.0, 0.168433)
    """
    k, n = np.asarray(count, np.float64), np.asarray(total, np.float64)
    tail = (1.0 - confidence) / 2.0
    some, rest = np.maximum(k, 1.0), np.maximum(n - k, 1.0)
    low = np.where(k == 0, 0.0, betaincinv(some, n - k + 1.0, tail))
    high = np.where(k == n, 1.0, betaincinv(k + 1.0, rest, 1.0 - tail))
    return low, high

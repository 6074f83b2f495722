"""Trend of a proportion over ordered groups (Cochran-Armitage).

Choose the scores before looking at the outcome, and prefer the measured value of a group
(its mean temperature) to its number: the p-value depends on them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtrc


@dataclass(frozen=True)
class TrendTest:
    """Result of a test for trend, in both conventions found in print.

    Parameters
    ----------
    chi_square, p_value : float
        With the permutation variance (n - 1): the convention of this package.
    chi_square_n, p_value_n : float
        With the binomial variance (n); larger by exactly n / (n - 1).
    z : float
        Signed root of ``chi_square``; positive when the share rises with the score.
    """

    chi_square: float
    p_value: float
    chi_square_n: float
    p_value_n: float
    z: float


def cochran_armitage(events: ArrayLike, totals: ArrayLike, scores: ArrayLike) -> TrendTest:
    """Test whether the share of units with an event changes steadily with a score.

    Parameters
    ----------
    events, totals : array of int, shape (k,)
        Units with the event and all units, per group.
    scores : array of float, shape (k,)
        What distinguishes the groups, on a scale fixed beforehand.

    Returns
    -------
    TrendTest
        All statistics 0 and p-values 1 when no unit or every unit has the event, or
        when all units share one score.

    References
    ----------
    .. [1] W. G. Cochran, Biometrics 10:417-451, 1954.
    .. [2] P. Armitage, Biometrics 11:375-386, 1955.

    Examples
    --------
    Malformations by mother's drinking (Graubard and Korn 1987).

    >>> events, births = [48, 38, 5, 1, 1], [17114, 14502, 793, 127, 38]
    >>> result = cochran_armitage(events, births, [0, 0.5, 1.5, 4, 7])
    >>> round(result.chi_square, 4), round(result.z, 4)
    (6.5699, 2.5632)
    """
    x, n = np.asarray(events, np.float64), np.asarray(totals, np.float64)
    s = np.asarray(scores, np.float64)
    total, hits = float(n.sum()), float(x.sum())
    if not 0.0 < hits < total or np.ptp(s[n > 0]) == 0.0:
        return TrendTest(0.0, 1.0, 0.0, 1.0, 0.0)
    share = hits / total
    centred = s - float((n * s).sum()) / total
    variance = share * (1.0 - share) * float((n * centred**2).sum())
    gap = float((x * centred).sum())
    plain = gap**2 / variance
    permutation = plain * (total - 1.0) / total
    return TrendTest(
        chi_square=permutation,
        p_value=float(chdtrc(1.0, permutation)),
        chi_square_n=plain,
        p_value_n=float(chdtrc(1.0, plain)),
        z=float(np.copysign(np.sqrt(permutation), gap)),
    )

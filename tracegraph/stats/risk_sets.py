"""Score test of a measured value, each case against those at risk at its age.

A case is compared with every unit that could have failed at the same age, so young units
are not counted as sound, and the value need not be cut into classes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr


@dataclass(frozen=True)
class ScoreTest:
    """Result of the rank score test within risk sets.

    Parameters
    ----------
    u : float
        Sum over the cases of their rank within the risk set less its mean; ranks run
        from 0 to 1, so cases with high values make it positive.
    v : float
        Variance of ``u`` when the value does not matter.
    z : float
        ``u / sqrt(v)``; 0 when all units at risk share one value.
    greater, less, two_sided : float
        p-values from the normal law: cases have higher, lower, other values.
    cases : int
        Cases used: those with a known value.
    """

    u: float
    v: float
    z: float
    greater: float
    less: float
    two_sided: float
    cases: int


def rank_score(
    values: ArrayLike,
    follow_up: ArrayLike,
    case: ArrayLike,
    case_age: ArrayLike,
    *,
    weights: ArrayLike | None = None,
) -> ScoreTest:
    """Test whether cases have higher or lower values than those at risk with them.

    Parameters
    ----------
    values : array of float, shape (n,)
        Measured value of each unit; nan where unknown, and then left out.
    follow_up : array of float, shape (n,)
        How long each unit was followed.
    case : array of int, shape (c,)
        Position of each case among the units.
    case_age : array of float, shape (c,)
        Age at which it failed, in the unit of ``follow_up``. Those at risk with it are
        the units followed at least that long.
    weights : array of float, shape (n,), optional
        Baseline rate of each unit relative to the others; 1 by default.

    Returns
    -------
    ScoreTest
        ``u``, ``v`` and ``z``, with p-values; p-values are 1 without a usable case.

    Raises
    ------
    ValueError
        If a case failed later than its unit was followed.

    References
    ----------
    .. [1] D. R. Cox, Biometrika 62:269-276, 1975.
    .. [2] D. Oakes, Biometrika 68:255-264, 1981 (ranks within risk sets; from memory).

    Examples
    --------
    Three boats at risk; the one laid up in the dampest air fails.

    >>> test = rank_score([60.0, 70.0, 90.0], [12, 12, 12], case=[2], case_age=[7])
    >>> round(test.u, 3), round(test.z, 3)
    (0.333, 1.225)
    """
    v, t = np.asarray(values, np.float64), np.asarray(follow_up, np.float64)
    who, age = np.asarray(case, np.int64), np.asarray(case_age, np.float64)
    w = np.ones(len(v)) if weights is None else np.asarray(weights, np.float64)
    late = t[who] < age
    if late.any():
        first = int(np.flatnonzero(late)[0])
        raise ValueError(
            f"Case {first} failed at age {age[first]:g}, but its unit was followed to "
            f"{t[who[first]]:g}. Give the follow-up of every case at least to its failure."
        )
    known = ~np.isnan(v)
    who, age = who[known[who]], age[known[who]]
    level = np.zeros(len(v), np.int64)
    level[known] = np.unique(v[known], return_inverse=True)[1]
    u = variance = 0.0
    for at in np.unique(age):
        at_risk = known & (t >= at)
        mass = np.bincount(level[at_risk], weights=w[at_risk])
        total = float(mass.sum())
        rank = (np.cumsum(mass) - 0.5 * mass) / total - 0.5  # weighted midrank, centred
        failed = who[age == at]
        u += float(rank[level[failed]].sum())
        variance += len(failed) * float((mass * rank**2).sum()) / total
    z = u / variance**0.5 if variance > 0 else 0.0
    if variance == 0.0:
        return ScoreTest(0.0, 0.0, 0.0, 1.0, 1.0, 1.0, len(who))
    greater, less = float(ndtr(-z)), float(ndtr(z))
    return ScoreTest(u, variance, z, greater, less, min(1.0, 2 * min(greater, less)), len(who))

"""Log-rank test of whether groups fail at different ages."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtrc

from tracegraph.stats.arrays import Bools, Floats, Ints


@dataclass(frozen=True, eq=False)
class LogRankTest:
    """Result of a log-rank test over two or more groups.

    Parameters
    ----------
    chi_square, p_value : float
        Statistic and its p-value; 0 and 1 when nothing can be compared.
    degrees_of_freedom : int
        Groups less one.
    groups : array, shape (g,)
        The groups, ascending.
    observed, expected : array of float, shape (g,)
        Failures in each group, and those expected if all groups were alike (weighted,
        in Peto and Peto's variant).
    """

    chi_square: float
    p_value: float
    degrees_of_freedom: int
    groups: np.ndarray
    observed: Floats
    expected: Floats


def log_rank(
    age: ArrayLike,
    failed: ArrayLike,
    group: ArrayLike,
    *,
    strata: ArrayLike | None = None,
    peto: bool = False,
) -> LogRankTest:
    """Test whether groups of units fail at the same rate at every age.

    Parameters
    ----------
    age : array of float, shape (n,)
        Age at failure, or age to which the unit was followed.
    failed : array of bool, shape (n,)
        Which units failed.
    group : array, shape (n,)
        What is compared.
    strata : array, shape (n,), optional
        What is held apart; failures are compared within each stratum.
    peto : bool, default False
        Weigh early failures more (Peto and Peto: by the share surviving until then).

    Returns
    -------
    LogRankTest
        Statistic with the hypergeometric variance.

    References
    ----------
    .. [1] N. Mantel, Cancer Chemotherapy Reports 50:163-170, 1966.
    .. [2] R. Peto and J. Peto, JRSS A 135:185-207, 1972.
    .. [3] D. P. Harrington and T. R. Fleming, Biometrika 69:553-566, 1982.

    Examples
    --------
    >>> test = log_rank([5, 8, 12, 20, 30, 40], [True] * 6, [1, 1, 1, 2, 2, 2])
    >>> test.observed, test.expected.round(2), round(test.p_value, 3)
    (array([3., 3.]), array([1.15, 4.85]), 0.025)
    """
    t, event = np.asarray(age, np.float64), np.asarray(failed, np.bool_)
    groups, member = np.unique(np.asarray(group), return_inverse=True)
    stratum = np.zeros(len(t), np.int64)
    if strata is not None:
        stratum = np.unique(np.asarray(strata), return_inverse=True)[1].astype(np.int64)
    count = len(groups)
    observed, expected = np.zeros(count), np.zeros(count)
    covariance = np.zeros((count, count))
    for number in np.unique(stratum):
        here = stratum == number
        parts = _one_stratum(t[here], event[here], member[here].astype(np.int64), count, peto)
        observed, expected = observed + parts[0], expected + parts[1]
        covariance = covariance + parts[2]
    gap = (observed - expected)[1:]
    freedom = max(count - 1, 0)
    chi_square = 0.0
    if freedom and covariance.any():
        chi_square = float(gap @ np.linalg.pinv(covariance[1:, 1:], hermitian=True) @ gap)
    p_value = float(chdtrc(freedom, chi_square)) if chi_square > 0.0 else 1.0
    return LogRankTest(chi_square, p_value, freedom, groups, observed, expected)


def _one_stratum(
    t: Floats, event: Bools, member: Ints, count: int, peto: bool
) -> tuple[Floats, Floats, Floats]:
    """Observed, expected and covariance of one stratum."""
    times, position = np.unique(t[event], return_inverse=True)
    deaths = np.zeros((len(times), count))
    np.add.at(deaths, (position, member[event]), 1.0)
    at_risk = np.column_stack(
        [
            (member == g).sum() - np.searchsorted(np.sort(t[member == g]), times, side="left")
            for g in range(count)
        ]
    ).astype(np.float64)
    d, r = deaths.sum(axis=1), at_risk.sum(axis=1)
    weight = np.ones(len(times))
    if peto and len(times):
        weight = np.concatenate([[1.0], np.cumprod(1.0 - d / r)[:-1]])
    share = at_risk / r[:, None]
    spread = weight**2 * d * (r - d) / np.where(r > 1, r - 1.0, 1.0)
    covariance = (
        np.diag((spread[:, None] * share).sum(axis=0)) - (share * spread[:, None]).T @ share
    )
    return weight @ deaths, (weight * d) @ share, covariance

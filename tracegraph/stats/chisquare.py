"""Chi-square tests of independence: many 2x2 tables, or one table of any size.

The p-value from the chi-square law is an approximation that fails for thin tables, often
by orders of magnitude; `CrossTest` says when not to trust it, and `monte_carlo` answers
without it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtrc, gammaln, log_ndtr, xlogy
from scipy.stats import random_table

from tracegraph.domain.errors import InvalidTableError
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.contingency import TableArrays

_CELLS = 2**20


@dataclass(frozen=True, eq=False)
class PearsonTests:
    """Pearson's chi-square tests of many 2x2 tables; one entry per table.

    Parameters
    ----------
    statistic : array of float, shape (n,)
        Chi-square on one degree of freedom; nan where a margin is empty.
    p_value, log10_p_value : array of float, shape (n,)
        From the chi-square law; 1 and 0 where a margin is empty.
    testable : array of bool, shape (n,)
        Where no margin is empty.
    """

    statistic: Floats
    p_value: Floats
    log10_p_value: Floats
    testable: Bools


@dataclass(frozen=True, eq=False)
class CrossTest:
    """Chi-square test of one r x c table, after rows and columns of zeros are dropped.

    Parameters
    ----------
    statistic, p_value : float
        Pearson's chi-square and its approximate p-value.
    g, g_p_value : float
        Likelihood-ratio statistic and its approximate p-value.
    degrees_of_freedom : int
        (rows - 1)(columns - 1), of the rows and columns that hold anything.
    cramers_v : float
        Strength of the association, 0 to 1.
    expected : array of float, shape (r, c)
        Counts expected without association.
    adjusted_residuals : array of float, shape (r, c)
        Roughly standard normal without association; they tell which level is in excess.
    trustworthy : bool
        Cochran's rule: no expected count below 1, at most a fifth of them below 5.
    testable : bool
        False when fewer than two rows or columns hold anything; the numbers are then
        nan and the p-values 1.
    """

    statistic: float
    p_value: float
    g: float
    g_p_value: float
    degrees_of_freedom: int
    cramers_v: float
    expected: Floats
    adjusted_residuals: Floats
    trustworthy: bool
    testable: bool


def pearson(tables: TableArrays, *, yates: bool = False) -> PearsonTests:
    """Pearson's chi-square test of every 2x2 table.

    Parameters
    ----------
    tables : TableArrays
        The tables.
    yates : bool, default False
        Take half a unit off the gap first (Yates's continuity correction).

    Returns
    -------
    PearsonTests
        One entry per table in the given order.

    References
    ----------
    .. [1] K. Pearson, Philosophical Magazine 50:157-175, 1900.
    .. [2] F. Yates, JRSS Supplement 1:217-235, 1934.

    Examples
    --------
    >>> vanilla = TableArrays(exposed_cases=[43], exposed_controls=[11],
    ...                       unexposed_cases=[3], unexposed_controls=[18])
    >>> pearson(vanilla).statistic.round(4)
    array([27.2225])
    """
    testable = tables.testable
    a, b, c, d = tables.counts
    total = tables.total.astype(np.float64)
    gap = np.abs((a * d - b * c).astype(np.float64))
    if yates:
        gap = np.maximum(gap - total / 2.0, 0.0)
    rows = np.where(testable, tables.exposed * tables.unexposed, 1).astype(np.float64)
    columns = np.where(testable, tables.cases * tables.controls, 1).astype(np.float64)
    root = np.where(testable, gap * np.sqrt(total) / (np.sqrt(rows) * np.sqrt(columns)), 0.0)
    log10_p = np.minimum(0.0, (log_ndtr(-root) + np.log(2.0)) / np.log(10.0))
    return PearsonTests(
        statistic=np.where(testable, root**2, np.nan),
        p_value=np.asarray(chdtrc(1.0, root**2), np.float64),
        log10_p_value=log10_p + 0.0,
        testable=testable,
    )


def cross_test(counts: ArrayLike) -> CrossTest:
    """Test a table of any size for association between its rows and columns.

    Parameters
    ----------
    counts : array of int, shape (r, c)
        Not negative.

    Returns
    -------
    CrossTest
        Pearson and likelihood-ratio statistics, strength, residuals, and whether the
        p-values deserve trust.

    Raises
    ------
    InvalidTableError
        If the counts are not a two-dimensional array of non-negative integers.

    References
    ----------
    .. [1] W. G. Cochran, Biometrics 10:417-451, 1954 (the rule on small counts).
    .. [2] S. J. Haberman, Biometrics 29:205-220, 1973 (adjusted residuals).

    Examples
    --------
    Five lots of 300 diodes (NIST/SEMATECH e-Handbook 7.4.5).

    >>> bad = np.array([36, 46, 42, 63, 38])
    >>> lots = cross_test([bad, 300 - bad])
    >>> round(lots.statistic, 3), lots.degrees_of_freedom, round(lots.p_value, 4)
    (12.131, 4, 0.0164)
    """
    table = _checked(counts)
    rows, columns = table.sum(axis=1), table.sum(axis=0)
    total = float(table.sum())
    if min(table.shape) < 2:
        empty = np.full(table.shape, np.nan)
        return CrossTest(
            np.nan, 1.0, np.nan, 1.0, 0, np.nan, empty, empty, trustworthy=False, testable=False
        )
    expected = np.outer(rows, columns) / total
    statistic = float(((table - expected) ** 2 / expected).sum())
    g = 2.0 * float(xlogy(table, table / expected).sum())
    freedom = (table.shape[0] - 1) * (table.shape[1] - 1)
    spread = expected * np.outer(1.0 - rows / total, 1.0 - columns / total)
    return CrossTest(
        statistic=statistic,
        p_value=float(chdtrc(freedom, statistic)),
        g=g,
        g_p_value=float(chdtrc(freedom, g)),
        degrees_of_freedom=freedom,
        cramers_v=float(np.sqrt(statistic / (total * (min(table.shape) - 1)))),
        expected=expected,
        adjusted_residuals=(table - expected) / np.sqrt(spread),
        trustworthy=bool(expected.min() >= 1.0 and (expected < 5.0).mean() <= 0.2),
        testable=True,
    )


def monte_carlo(
    counts: ArrayLike,
    *,
    resamples: int = 9999,
    seed: int = 0,
    statistic: Literal["pearson", "probability"] = "pearson",
) -> float:
    """Monte Carlo p-value of independence, with both margins held fixed.

    Parameters
    ----------
    counts : array of int, shape (r, c)
        Not negative.
    resamples : int, default 9999
        Number of random tables.
    seed : int, default 0
        Same seed, same answer.
    statistic : {"pearson", "probability"}, default "pearson"
        What counts as extreme: a large chi-square, or a small probability of the table
        (Freeman and Halton's generalisation of Fisher's exact test).

    Returns
    -------
    float
        ``(1 + hits) / (resamples + 1)``; 1.0 when fewer than two rows or columns hold
        anything. Its standard error is at most ``0.5 / sqrt(resamples)``.

    Raises
    ------
    InvalidTableError
        If the counts are not a two-dimensional array of non-negative integers.

    References
    ----------
    .. [1] G. H. Freeman and J. H. Halton, Biometrika 38:141-149, 1951.
    """
    table = _checked(counts)
    if min(table.shape) < 2:
        return 1.0
    rows, columns = table.sum(axis=1), table.sum(axis=0)
    weight = 1.0 / np.outer(rows, columns)

    def extremeness(tables: Ints | Floats) -> Floats:
        if statistic == "pearson":
            return np.asarray((tables**2 * weight).sum(axis=(-2, -1)))
        return np.asarray(gammaln(tables + 1.0).sum(axis=(-2, -1)))

    observed = float(extremeness(table))
    limit = observed - 1e-9 * abs(observed)
    law = random_table(rows, columns)
    rng = np.random.default_rng(seed)
    hits, left = 0, resamples
    while left:
        batch = min(left, max(1, _CELLS // table.size))
        hits += int((extremeness(law.rvs(size=batch, random_state=rng)) >= limit).sum())
        left -= batch
    return (1 + hits) / (resamples + 1)


def _checked(counts: ArrayLike) -> Ints:
    """Check a table and drop its rows and columns of zeros."""
    table = np.asarray(counts)
    if table.ndim != 2 or table.dtype.kind not in "iu" or (table.size and int(table.min()) < 0):
        raise InvalidTableError(
            f"The table must hold counts, 0 or more, in rows and columns; got {table.ndim} "
            f"dimensions of type {table.dtype}. Count units, one row per outcome."
        )
    table = table.astype(np.int64)
    kept: Ints = table[table.sum(axis=1) > 0][:, table.sum(axis=0) > 0]
    return kept

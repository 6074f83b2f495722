"""Risk ratio and risk difference of 2x2 tables, with intervals, for many tables at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize.elementwise import find_root
from scipy.special import ndtri

from tracegraph.stats.arrays import Floats
from tracegraph.stats.contingency import TableArrays
from tracegraph.stats.proportion import wilson

_WIDEST = 80.0  # log of the largest ratio looked for


@dataclass(frozen=True, eq=False)
class RiskRatios:
    """Risk ratios of many tables; every array has one entry per table.

    Parameters
    ----------
    ratio : array of float, shape (n,)
        Share of cases among the exposed over share among the unexposed: 0 without
        exposed cases, infinite without unexposed ones, nan where a margin is empty.
    low, high : array of float, shape (n,)
        Koopman's score limits; one-sided (0 or infinite at the other end) where the
        ratio is 0 or infinite, nan where a margin is empty.
    katz_low, katz_high : array of float, shape (n,)
        Katz's log limits; nan where the ratio is 0, infinite or nan. No half is added.
    confidence : float
        Confidence of both pairs of limits.
    """

    ratio: Floats
    low: Floats
    high: Floats
    katz_low: Floats
    katz_high: Floats
    confidence: float


@dataclass(frozen=True, eq=False)
class RiskDifferences:
    """Risk differences of many tables; every array has one entry per table.

    Parameters
    ----------
    difference : array of float, shape (n,)
        Share of cases among the exposed less the share among the unexposed; nan where
        no unit is exposed or none is unexposed.
    low, high : array of float, shape (n,)
        Newcombe's hybrid score limits; nan where the difference is.
    confidence : float
        Confidence of the limits.
    """

    difference: Floats
    low: Floats
    high: Floats
    confidence: float


def risk_ratios(tables: TableArrays, *, confidence: float = 0.95) -> RiskRatios:
    """Risk ratios with Koopman's score limits and Katz's log limits.

    Parameters
    ----------
    tables : TableArrays
        The tables; equal ones are computed once.
    confidence : float, default 0.95
        Between 0 and 1.

    Returns
    -------
    RiskRatios
        One entry per table in the given order.

    References
    ----------
    .. [1] P. A. R. Koopman, Biometrics 40:513-517, 1984.
    .. [2] D. Katz et al., Biometrics 34:469-474, 1978.

    Examples
    --------
    The vanilla ice cream of the Oswego church supper (Gross 1976).

    >>> vanilla = TableArrays(exposed_cases=[43], exposed_controls=[11],
    ...                       unexposed_cases=[3], unexposed_controls=[18])
    >>> result = risk_ratios(vanilla)
    >>> result.ratio.round(4), result.katz_low.round(4), result.katz_high.round(4)
    (array([5.5741]), array([1.9383]), array([16.0293]))
    """
    testable = tables.testable
    kept = tables.take(testable)
    first, inverse = kept.distinct()
    columns = _distinct_ratios(kept.take(first), float(ndtri(0.5 + confidence / 2)))
    whole = np.full((5, len(tables)), np.nan)
    whole[:, testable] = columns[:, inverse]
    ratio, low, high, katz_low, katz_high = whole
    return RiskRatios(ratio, low, high, katz_low, katz_high, confidence)


def risk_differences(tables: TableArrays, *, confidence: float = 0.95) -> RiskDifferences:
    """Risk differences with Newcombe's limits, built from two Wilson intervals.

    Parameters
    ----------
    tables : TableArrays
        The tables.
    confidence : float, default 0.95
        Between 0 and 1.

    Returns
    -------
    RiskDifferences
        One entry per table in the given order.

    References
    ----------
    .. [1] R. G. Newcombe, Statistics in Medicine 17:873-890, 1998, method 10.

    Examples
    --------
    >>> groups = TableArrays(exposed_cases=[56], exposed_controls=[14],
    ...                      unexposed_cases=[48], unexposed_controls=[32])
    >>> result = risk_differences(groups)
    >>> result.difference.round(4), result.low.round(4), result.high.round(4)
    (array([0.2]), array([0.0524]), array([0.3339]))
    """
    known = (tables.exposed > 0) & (tables.unexposed > 0)
    exposed, unexposed = np.maximum(tables.exposed, 1), np.maximum(tables.unexposed, 1)
    p, q = tables.exposed_cases / exposed, tables.unexposed_cases / unexposed
    p_low, p_high = wilson(tables.exposed_cases, exposed, confidence=confidence)
    q_low, q_high = wilson(tables.unexposed_cases, unexposed, confidence=confidence)
    difference = p - q
    low = difference - np.hypot(p - p_low, q_high - q)
    high = difference + np.hypot(p_high - p, q - q_low)
    low, high = np.maximum(low, -1.0), np.minimum(high, 1.0)
    difference, low, high = (np.where(known, x, np.nan) for x in (difference, low, high))
    return RiskDifferences(difference, low, high, confidence)


def score_statistic(tables: TableArrays, log_ratio: Floats) -> Floats:
    """Signed score statistic of the hypothesis that the risk ratio has a given value.

    Parameters
    ----------
    tables : TableArrays
        Tables with both exposed and unexposed units.
    log_ratio : array of float, shape (n,)
        Natural log of the hypothetical risk ratio.

    Returns
    -------
    array of float, shape (n,)
        Positive where the table shows more than the hypothesis; falls as ``log_ratio``
        rises. Its square is Koopman's chi-square.
    """
    return _score(log_ratio, *_samples(tables))


def _samples(tables: TableArrays) -> tuple[Floats, Floats, Floats, Floats]:
    """Cases and units, first exposed and then unexposed."""
    return (
        tables.exposed_cases.astype(np.float64),
        tables.exposed.astype(np.float64),
        tables.unexposed_cases.astype(np.float64),
        tables.unexposed.astype(np.float64),
    )


def _score(log_ratio: Floats, a: Floats, exposed: Floats, c: Floats, unexposed: Floats) -> Floats:
    ratio = np.exp(log_ratio)
    # Risk of the unexposed that maximises the likelihood under the hypothesis: the
    # smaller root of a quadratic, in the form that does not cancel.
    half = 0.5 * (ratio * (exposed + c) + a + unexposed)
    product = (exposed + unexposed) * ratio * (a + c)
    q = (a + c) / (half + np.sqrt(np.maximum(half**2 - product, 0.0)))
    p = np.minimum(ratio * q, 1.0)
    variance = p * (1.0 - p) / exposed + ratio**2 * q * (1.0 - q) / unexposed
    gap = a / exposed - ratio * c / unexposed
    return np.where(gap == 0.0, 0.0, gap / np.sqrt(np.maximum(variance, 1e-300)))


def _distinct_ratios(tables: TableArrays, z: float) -> Floats:
    """Ratio, score limits and log limits of testable tables, shape (5, n)."""
    result = np.full((5, len(tables)), np.nan)
    a, exposed, c, unexposed = _samples(tables)
    both = (a > 0) & (c > 0)
    p, q = a / exposed, c / unexposed
    result[0] = np.divide(p, q, out=np.full(len(tables), np.inf), where=c > 0)
    middle = np.log(np.where(both, result[0], 1.0))
    low, high = _score_limits(tables, middle, z)
    result[1] = np.where(a > 0, np.exp(low), 0.0)
    result[2] = np.where(c > 0, np.exp(high), np.inf)
    spread = z * np.sqrt(
        np.where(both, 1 / np.maximum(a, 1) - 1 / exposed + 1 / np.maximum(c, 1) - 1 / unexposed, 0)
    )
    result[3] = np.where(both, np.exp(middle - spread), np.nan)
    result[4] = np.where(both, np.exp(middle + spread), np.nan)
    return result


def _score_limits(tables: TableArrays, middle: Floats, z: float) -> Floats:
    """Log ratios at which the signed score statistic equals ``z`` and ``-z``, shape (2, n).

    Both are searched for at once: the steps of the search cost more than their width.
    """
    wanted = np.concatenate([tables.exposed_cases > 0, tables.unexposed_cases > 0])
    result = np.tile(middle, 2)
    if wanted.any():
        aims = np.repeat([z, -z], len(tables))[wanted]
        samples = [np.tile(numbers, 2)[wanted] for numbers in _samples(tables)]
        bounds = (np.full(len(aims), -_WIDEST), np.full(len(aims), _WIDEST))
        found = find_root(lambda x, aim, *n: _score(x, *n) - aim, bounds, args=(aims, *samples))
        result[wanted] = found.x
    return result.reshape(2, -1)

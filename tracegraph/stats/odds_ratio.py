"""Odds ratio of a 2x2 table: sample and conditional estimate, exact and mid-p limits.

The conditional estimate maximises the probability of the table given all its margins; the
exact limits are the odds ratios at which one tail of that distribution holds half of what
the confidence leaves over (Cornfield's limits, found without approximation).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from tracegraph.stats.arrays import Floats
from tracegraph.stats.contingency import ContingencyTable, TableArrays
from tracegraph.stats.hypergeometric import log_factorial
from tracegraph.stats.tilting import (
    TiltedFamilies,
    check_confidence,
    estimate_and_limits,
    offsets,
    reach,
)

_ELEMENTS = 2**20


@dataclass(frozen=True)
class OddsRatio:
    """Odds ratio of one table; the fields are those of `OddsRatios`.

    Parameters
    ----------
    sample, conditional : float
        The two point estimates; nan when a margin is empty.
    low, high : float
        Exact limits around the conditional estimate.
    mid_p_low, mid_p_high : float
        The shorter limits that count the observed table by half.
    confidence : float
        Confidence of both pairs of limits.
    """

    sample: float
    conditional: float
    low: float
    high: float
    mid_p_low: float
    mid_p_high: float
    confidence: float


@dataclass(frozen=True, eq=False)
class OddsRatios:
    """Odds ratios of many tables; every array has one entry per table.

    Parameters
    ----------
    sample : array of float, shape (n,)
        ``ad / bc``; infinite where only ``bc`` is 0, nan where a margin is empty.
    conditional : array of float, shape (n,)
        Conditional maximum likelihood estimate: 0 or infinite where the exposed cases
        are as few or as many as the margins allow, nan where a margin is empty.
    low, high : array of float, shape (n,)
        Exact limits; ``low`` is 0 where the estimate is 0, ``high`` infinite where it
        is infinite, and the other limit still leaves half of ``1 - confidence``.
    mid_p_low, mid_p_high : array of float, shape (n,)
        The same with the observed table counted by half in either tail.
    confidence : float
        Confidence of both pairs of limits.
    """

    sample: Floats
    conditional: Floats
    low: Floats
    high: Floats
    mid_p_low: Floats
    mid_p_high: Floats
    confidence: float


def odds_ratio(table: ContingencyTable, *, confidence: float = 0.95) -> OddsRatio:
    """Odds ratio of one table with exact and mid-p limits.

    Parameters
    ----------
    table : ContingencyTable
        Four counts.
    confidence : float, default 0.95
        Between 0 and 1. A one-sided 95 % limit is one limit of a 90 % pair.

    Returns
    -------
    OddsRatio
        All nan when a margin is empty.

    Examples
    --------
    >>> tea = ContingencyTable(exposed_cases=3, exposed_controls=1,
    ...                        unexposed_cases=1, unexposed_controls=3)
    >>> result = odds_ratio(tea)
    >>> result.sample, round(result.conditional, 4)
    (9.0, 6.4083)
    >>> round(result.low, 4), round(result.high, 2)
    (0.2117, 626.24)
    """
    many = odds_ratios(table.as_arrays(), confidence=confidence)
    return OddsRatio(
        sample=float(many.sample[0]),
        conditional=float(many.conditional[0]),
        low=float(many.low[0]),
        high=float(many.high[0]),
        mid_p_low=float(many.mid_p_low[0]),
        mid_p_high=float(many.mid_p_high[0]),
        confidence=confidence,
    )


def odds_ratios(tables: TableArrays, *, confidence: float = 0.95) -> OddsRatios:
    """Odds ratios of many tables with exact and mid-p limits.

    Parameters
    ----------
    tables : TableArrays
        The tables; equal ones are computed once.
    confidence : float, default 0.95
        Between 0 and 1.

    Returns
    -------
    OddsRatios
        One entry per table in the given order.

    Raises
    ------
    ValueError
        If ``confidence`` is not strictly between 0 and 1.

    Notes
    -----
    The number of exposed cases given the margins is a sum of independent yes/no
    variables for every odds ratio, so Chernoff's bounds tell beforehand which part of
    the support can matter anywhere between the limits; the rest, at most 1e-13 of the
    probability on either side, is left out.

    References
    ----------
    .. [1] J. Cornfield, A statistical problem arising from retrospective studies, 1956.
    .. [2] R. D. Baptista and M. C. Pike, Applied Statistics 26:214-220, 1977.
    .. [3] H. O. Lancaster, Significance tests in discrete distributions, 1961 (mid-p).
    """
    alpha = check_confidence(confidence)
    testable = tables.testable
    kept = tables.take(testable)
    first, inverse = kept.distinct()
    columns = _distinct_limits(kept.take(first), alpha)
    whole = np.full((5, len(tables)), np.nan)
    whole[:, testable] = columns[:, inverse]
    conditional, low, high, mid_low, mid_high = whole
    return OddsRatios(
        sample_odds_ratio(tables), conditional, low, high, mid_low, mid_high, confidence
    )


def sample_odds_ratio(tables: TableArrays) -> Floats:
    """Cross-product ratio ``ad / bc`` of every table.

    Parameters
    ----------
    tables : TableArrays
        The tables.

    Returns
    -------
    array of float, shape (n,)
        0 or infinite with a zero on one diagonal; nan where a margin is empty.
    """
    a, b, c, d = tables.counts
    cross = (b * c).astype(np.float64)
    ratio = np.divide(a * d, cross, out=np.full(len(tables), np.inf), where=cross > 0)
    return np.where(tables.testable, ratio, np.nan)


def woolf_interval(
    tables: TableArrays, *, confidence: float = 0.95, add_half: bool = False
) -> tuple[Floats, Floats, Floats]:
    """Sample odds ratio with Woolf's logit interval.

    Parameters
    ----------
    tables : TableArrays
        The tables.
    confidence : float, default 0.95
        Between 0 and 1.
    add_half : bool, default False
        Add 0.5 to all four counts of every table first (Haldane, Anscombe).

    Returns
    -------
    estimate, low, high : array of float, shape (n,)
        The limits are nan where a count is 0, unless a half is added; all three are nan
        where a margin is empty.

    References
    ----------
    .. [1] B. Woolf, Annals of Human Genetics 19:251-253, 1955.
    """
    cells = np.array(tables.counts, np.float64).reshape(4, -1) + (0.5 if add_half else 0.0)
    cells = np.where(tables.testable & (cells > 0), cells, np.nan)
    log_ratio = np.log(cells[0]) + np.log(cells[3]) - np.log(cells[1]) - np.log(cells[2])
    margin = float(ndtri(0.5 + confidence / 2)) * np.sqrt((1.0 / cells).sum(axis=0))
    estimate = np.exp(log_ratio) if add_half else sample_odds_ratio(tables)
    return estimate, np.exp(log_ratio - margin), np.exp(log_ratio + margin)


def _distinct_limits(tables: TableArrays, alpha: float) -> Floats:
    """Conditional estimate and both pairs of limits of testable tables, shape (5, n)."""
    result = np.empty((5, len(tables)))
    if not len(tables):
        return result
    # Blocks of about a million elements bound the memory, whatever the number of tables.
    room = np.minimum(
        np.minimum(tables.exposed, tables.unexposed), np.minimum(tables.cases, tables.controls)
    )
    block = np.cumsum(np.minimum(room, 4 * np.sqrt(room) + 200).astype(np.int64)) // _ELEMENTS
    for number in np.unique(block):
        rows = block == number
        result[:, rows] = _block_limits(tables.take(rows), alpha)
    return result


def _block_limits(tables: TableArrays, alpha: float) -> Floats:
    """Solve the five equations for one block of tables."""
    a, b, c, d = tables.counts
    can_fall, can_rise = np.minimum(a, d), np.minimum(b, c)
    down, up = reach(can_fall, can_rise, alpha)
    step = offsets(down, up)
    a, b, c, d = (np.repeat(x, down + up + 1) for x in tables.counts)
    log_weight = -(
        log_factorial(a + step)
        + log_factorial(b - step)
        + log_factorial(c - step)
        + log_factorial(d + step)
    )
    families = TiltedFamilies(log_weight, down, up, can_fall, can_rise)
    half = np.array(tables.counts, np.float64) + 0.5
    rough = np.log(half[0] * half[3] / (half[1] * half[2]))
    return np.exp(estimate_and_limits(families, rough, alpha))

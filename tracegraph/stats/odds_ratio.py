"""Odds ratio of a 2x2 table: sample and conditional estimate, exact and mid-p limits.

The conditional estimate maximises the probability of the table given all its margins; the
exact limits are the odds ratios at which one tail of that distribution holds half of what
the confidence leaves over (Cornfield's limits, found without approximation).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.contingency import ContingencyTable, TableArrays
from tracegraph.stats.hypergeometric import log_factorial

_ELEMENTS = 2**20
_NEGLIGIBLE = 30.0  # minus the log of the mass a window may leave out, per side


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
    if not 0.0 < confidence < 1.0:
        raise ValueError(
            f"confidence must lie between 0 and 1, such as 0.95; got {confidence!r}. "
            "Give a share, not a percentage."
        )
    testable = tables.testable
    kept = tables.take(testable)
    first, inverse = kept.distinct()
    columns = _distinct_limits(kept.take(first), 1.0 - confidence)
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


class _Windows:
    """Parts of the supports that matter, laid end to end.

    Positions count exposed cases from the observed table: 0 is the table itself.
    """

    def __init__(self, counts: tuple[Ints, Ints, Ints, Ints], alpha: float) -> None:
        a, b, c, d = counts
        self.can_fall, self.can_rise = np.minimum(a, d), np.minimum(b, c)
        self.down = np.minimum(_reach_down(self.can_fall, alpha), _reach_up(self.can_rise, alpha))
        self.up = np.minimum(_reach_up(self.can_fall, alpha), _reach_down(self.can_rise, alpha))
        self.down, self.up = (
            np.minimum(self.down, self.can_fall),
            np.minimum(self.up, self.can_rise),
        )
        self.size = self.down + self.up + 1
        self.start = np.cumsum(self.size) - self.size
        self.own = self.start + self.down
        offset = np.arange(self.size.sum()) - np.repeat(self.own, self.size)
        cells = [np.repeat(x, self.size) for x in counts]
        log_weight = -(
            log_factorial(cells[0] + offset)
            + log_factorial(cells[1] - offset)
            + log_factorial(cells[2] - offset)
            + log_factorial(cells[3] + offset)
        )
        self.log_weight = log_weight - np.repeat(log_weight[self.own], self.size)
        self.offset = offset.astype(np.float64)
        # Two neighbouring pieces per table: below the observed table, and from it upwards.
        self.cuts = np.column_stack([self.start, self.own]).ravel()

    def weights(self, theta: Floats) -> Floats:
        """Probabilities at log odds ratios ``theta``, up to a factor per table."""
        weight: Floats = self.log_weight + np.repeat(theta, self.size) * self.offset
        weight -= np.repeat(np.maximum.reduceat(weight, self.start), self.size)
        return np.exp(weight, out=weight)

    def pieces(self, values: Floats) -> tuple[Floats, Floats]:
        """Sum values below the observed table, and from it upwards."""
        sums = np.add.reduceat(values, self.cuts)
        return np.where(self.down > 0, sums[0::2], 0.0), sums[1::2]


def _reach_up(count: Ints, alpha: float) -> Ints:
    """How far above ``count`` successes probability can lie at the upper limit.

    For a sum of independent yes/no variables with mean m, P(sum <= s) is at most
    exp(-(m - s)^2 / 2m): that bounds the mean at the upper limit, and
    P(sum >= m + t) <= exp(-t^2 / (2m + 2t/3)) bounds what lies beyond.
    """
    log_alpha = np.log(2.0 / alpha)
    mean = count + log_alpha + np.sqrt(log_alpha**2 + 2.0 * log_alpha * count)
    third = _NEGLIGIBLE / 3.0
    reach = mean + third + np.sqrt(third**2 + 2.0 * _NEGLIGIBLE * mean)
    result: Ints = np.ceil(reach - count).astype(np.int64)
    return result


def _reach_down(count: Ints, alpha: float) -> Ints:
    """How far below ``count`` successes probability can lie at the lower limit.

    The same two bounds with their sides exchanged.
    """
    third = 2.0 * np.log(2.0 / alpha) / 3.0
    mean = np.maximum(0.0, count + third - np.sqrt(third**2 + 3.0 * third * count))
    reach = mean - np.sqrt(2.0 * _NEGLIGIBLE * mean)
    result: Ints = np.ceil(count - reach).astype(np.int64)
    return result


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
    windows = _Windows(tables.counts, alpha)
    a, b, c, d = (x + 0.5 for x in tables.counts)
    rough = np.log(a * d / (b * c))
    spread = -float(ndtri(alpha / 2)) * np.sqrt(1 / a + 1 / b + 1 / c + 1 / d)
    inside = (windows.can_fall > 0) & (windows.can_rise > 0)
    estimate = _solve(rough, lambda theta: np.where(inside, _mean_step(windows, theta), 0.0))
    edge = np.where(windows.can_rise > 0, -np.inf, np.inf)
    result = np.empty((5, len(tables)))
    result[0] = np.where(inside, estimate, edge)
    for row, own_share in ((1, 1.0), (3, 0.5)):
        for upper in (False, True):
            free = (windows.can_rise if upper else windows.can_fall) > 0

            def step(
                theta: Floats,
                share: float = own_share,
                upper: bool = upper,
                free: Bools = free,
            ) -> Floats:
                return np.where(free, _tail_step(windows, theta, alpha, share, upper), 0.0)

            start = rough + spread if upper else rough - spread
            limit = _solve(start, step)
            result[row + upper] = np.where(free, limit, np.inf if upper else -np.inf)
    return np.exp(result)


def _solve(theta: Floats, step: Callable[[Floats], Floats]) -> Floats:
    """Newton's method for all tables together, until the last step is below 1e-8."""
    change = np.ones(1)
    while (np.abs(change) > 1e-8).any():
        change = step(theta)
        theta = theta - change
    return theta


def _mean_step(windows: _Windows, theta: Floats) -> Floats:
    """Newton step towards the log odds ratio at which the mean is the observed count.

    Taken on the logit of the mean, which is close to linear in the log odds ratio.
    """
    weight = windows.weights(theta)
    total = np.add.reduceat(weight, windows.start)
    weight *= windows.offset
    mean = np.add.reduceat(weight, windows.start) / total
    weight *= windows.offset
    variance = np.add.reduceat(weight, windows.start) / total - mean**2
    fall, rise = windows.can_fall, windows.can_rise
    below, above = np.maximum(mean + fall, 1e-300), np.maximum(rise - mean, 1e-300)
    with np.errstate(divide="ignore", invalid="ignore"):
        gap = np.log(below / above) - np.log(fall / rise)
        change: Floats = gap * below * above / (np.maximum(variance, 1e-300) * (fall + rise))
    return change


def _tail_step(
    windows: _Windows, theta: Floats, alpha: float, own_share: float, upper: bool
) -> Floats:
    """Newton step towards the log odds ratio at which one tail holds ``alpha / 2``.

    The log of the tail is concave in the log odds ratio, because cutting a log-concave
    distribution off narrows it; Newton's method then converges from any start.
    """
    weight = windows.weights(theta)
    own = weight[windows.own]
    below, above = windows.pieces(weight)
    weight *= windows.offset
    moment_below, moment_above = windows.pieces(weight)
    mean = (moment_below + moment_above) / (below + above)
    if upper:
        tail, moment = below + own_share * own, moment_below
    else:
        tail, moment = above - (1.0 - own_share) * own, moment_above
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = moment / tail - mean
        change: Floats = (np.log(tail / (below + above)) - np.log(alpha / 2.0)) / slope
    return change

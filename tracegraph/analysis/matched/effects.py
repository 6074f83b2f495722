"""Observed against expected cases of a level, with the weights that hold when it is let in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.stats import chi2

from tracegraph.analysis.matched.offsets import settle_with_level
from tracegraph.analysis.matched.risk import LevelTables
from tracegraph.analysis.matched.scores import (
    Baseline,
    fixed_log_likelihoods,
    log_likelihoods,
)
from tracegraph.stats.arrays import Floats, Ints
from tracegraph.stats.poisson_binomial import CaseCounts, CountTests, RateRatios

_POINTS = 41
_MARGIN = 1.5


@dataclass(frozen=True)
class Estimate:
    """Cases of some hulls against those expected.

    Attributes
    ----------
    observed : int
        Cases.
    expected : float
        Cases expected under no effect.
    ratio, low, high : float
        Rate ratio with exact mid-p 95 % limits.
    p_value : float
        Exact chance of so many cases or more.
    """

    observed: int
    expected: float
    ratio: float
    low: float
    high: float
    p_value: float


@dataclass(frozen=True, eq=False)
class Effects:
    """Tests and rate ratios of some levels; every array has one entry per level.

    Parameters
    ----------
    expected : array of float, shape (n,)
        Cases expected under no effect, differences between models and periods allowed
        for and the level's own effect kept out of them.
    tests : CountTests
        Exact tests of the observed cases.
    ratios : RateRatios
        Rate ratios with exact and mid-p limits at the settled weights.
    low, high : array of float, shape (n,)
        The mid-p limits, widened by what is uncertain about the weights.
    weight : array of float, shape (n, g)
        Weights of the groups with each level let in.
    counts : CaseCounts
        Observed cases with the chances of every case.
    """

    expected: Floats
    tests: CountTests
    ratios: RateRatios
    low: Floats
    high: Floats
    weight: Floats
    counts: CaseCounts

    def one(self, place: int = 0) -> Estimate:
        """The numbers of one level."""
        return Estimate(
            observed=int(self.counts.observed[place]),
            expected=float(self.expected[place]),
            ratio=float(self.ratios.ratio[place]),
            low=float(self.low[place]),
            high=float(self.high[place]),
            p_value=float(self.tests.greater[place]),
        )


def effects(baseline: Baseline, tables: LevelTables, *, confidence: float = 0.95) -> Effects:
    """Estimate the rate ratio of each level jointly with the weights.

    Parameters
    ----------
    baseline : Baseline
        Weights under no cause.
    tables : LevelTables
        The levels.
    confidence : float, default 0.95
        Of the limits.

    Returns
    -------
    Effects
        In the order of the tables.
    """
    weight = _settled_weights(baseline, tables)
    counts = case_counts(tables, weight)
    ratios = counts.rate_ratios(confidence=confidence)
    low, high = _widened(baseline, tables, weight, ratios)
    return Effects(
        expected=counts.expected,
        tests=counts.tests(),
        ratios=ratios,
        low=low,
        high=high,
        weight=weight,
        counts=counts,
    )


def settled_counts(baseline: Baseline, tables: LevelTables) -> CaseCounts:
    """Observed cases with their chances, each level let in at its own rate ratio."""
    return case_counts(tables, _settled_weights(baseline, tables))


def case_counts(tables: LevelTables, weight: Floats) -> CaseCounts:
    """Observed cases with their chances at given weights, (g,) or (n, g).

    Each case is compared with hulls of its own stratum. The rate of a cause set aside is
    estimated from few hulls, and from next to none where a level covers most of them;
    what it is then drops out.
    """
    levels, strata, months = tables.cases_of_stratum.shape
    chance = tables.chance_within(weight).reshape(levels, strata * months)
    cases = tables.cases_of_stratum.reshape(levels, strata * months)
    return CaseCounts(tables.observed, chance, cases.astype(np.int64))


def _settled_weights(baseline: Baseline, tables: LevelTables) -> Floats:
    """Weights with each level let in at its own rate ratio, shape (n, g)."""
    if not baseline.groups.codes:
        return np.broadcast_to(baseline.weight, (len(tables.levels), len(baseline.weight)))
    return settle_with_level(
        baseline.groups.margins,
        baseline.offsets,
        tables.known @ baseline.hazard_steps,
        tables.exposed @ baseline.hazard_steps,
        tables.cases_of_group,
        tables.observed.astype(np.float64),
    )


def _widened(
    baseline: Baseline, tables: LevelTables, weight: Floats, ratios: RateRatios
) -> tuple[Floats, Floats]:
    """Mid-p limits with the spread that the weights add, side by side on the log scale.

    The likelihood is taken twice: at the settled weights, and with the weights integrated
    out. The distances from estimate to limit add in squares: mid-p, and the excess of the
    second over the first.
    """
    low, high = ratios.mid_p_low.copy(), ratios.mid_p_high.copy()
    inside = np.flatnonzero(np.isfinite(ratios.ratio) & (ratios.ratio > 0.0))
    if not len(inside) or not baseline.groups.codes:
        return low, high
    some = tables.take(inside)
    log_low, log_high = np.log(low[inside]), np.log(high[inside])
    grid = np.linspace(log_low - _MARGIN, log_high + _MARGIN, _POINTS, axis=1)
    drop = float(chi2.ppf(ratios.confidence, 1)) / 2.0
    fixed = _reach(fixed_log_likelihoods(some, weight[inside], np.exp(grid)), grid, drop)
    whole = _reach(log_likelihoods(baseline, some, np.exp(grid)), grid, drop)
    middle = np.log(ratios.ratio[inside])
    down, up = (np.maximum(0.0, w**2 - f**2) for w, f in zip(whole, fixed, strict=True))
    low[inside] = np.exp(middle - np.sqrt((middle - log_low) ** 2 + down))
    high[inside] = np.exp(middle + np.sqrt((log_high - middle) ** 2 + up))
    return low, high


def _reach(log_likelihood: Floats, grid: Floats, drop: float) -> tuple[Floats, Floats]:
    """Distance from the top of each curve to where it has fallen by ``drop``, each way."""
    rows = np.arange(len(grid))
    top = np.argmax(log_likelihood, axis=1)
    floor = log_likelihood[rows, top] - drop
    at = grid[rows, top]
    above = log_likelihood >= floor[:, None]
    first = np.argmax(above, axis=1)
    last = above.shape[1] - 1 - np.argmax(above[:, ::-1], axis=1)
    return (
        at - _crossing(log_likelihood, grid, first, np.maximum(first - 1, 0), floor),
        _crossing(log_likelihood, grid, last, np.minimum(last + 1, grid.shape[1] - 1), floor) - at,
    )


def _crossing(curve: Floats, grid: Floats, inner: Ints, outer: Ints, floor: Floats) -> Floats:
    """Where each curve meets its floor between two neighbouring points."""
    rows = np.arange(len(grid))
    high, low = curve[rows, inner], curve[rows, outer]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(high > low, (high - floor) / (high - low), 0.0)
    return grid[rows, inner] + share * (grid[rows, outer] - grid[rows, inner])

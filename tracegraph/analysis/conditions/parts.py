"""A measured value cut into parts: what each part expects, and the best cut of all.

Bands come from the whole production and are there to be looked at. A cut that was searched
for is worth only what the search would find in claims dealt out by chance.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.timing.followed import Followed
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.poisson_binomial import CaseCounts

MOST_CUTS = 99
"""Cuts tried: every value, or every hundredth of the hulls where there are more values."""

SMALLEST_SHARE = 0.1
"""Share of the hulls that a cut leaves on either side at least."""


@dataclass(frozen=True, eq=False)
class Parts:
    """Hulls in parts, with the chance that a case falls into each under no effect.

    Parameters
    ----------
    counts : CaseCounts
        One entry per part.
    hulls : array of int, shape (k,)
        Hulls at risk in each.
    """

    counts: CaseCounts
    hulls: Ints


def parted(hulls: Followed, members: Bools, weight: Floats) -> Parts:
    """Count cases in parts against the hulls at risk at their age.

    Parameters
    ----------
    hulls : Followed
        Hulls of known value only; a hull leaves its risk sets at its claim.
    members : array of bool, shape (k, h)
        Hulls of each part; parts may overlap.
    weight : array of float, shape (h,)
        Rate of each hull relative to the others.

    Returns
    -------
    Parts
        In the given order.
    """
    population = hulls.population
    months = len(population.months)
    joined = population.sets_joined
    mass = np.where(population.at_risk, weight, 0.0)

    def at_risk(which: Bools) -> Floats:
        counted = np.bincount(joined[which], mass[which], months + 1).astype(np.float64)
        result: Floats = np.cumsum(counted[:0:-1])[::-1]
        return result

    whole = at_risk(population.at_risk)
    chance = np.array([at_risk(member) / whole for member in members]).reshape(len(members), -1)
    cases = population.cases
    by_month = np.bincount(joined[cases] - 1, minlength=months)
    observed = (members[:, cases]).sum(axis=1).astype(np.int64)
    counts = CaseCounts(observed, np.clip(chance, 0.0, 1.0), by_month)
    return Parts(counts, (members & population.at_risk).sum(axis=1).astype(np.int64))


@dataclass(frozen=True)
class BestCut:
    """The cut between low and high values at which the claims differ most.

    Parameters
    ----------
    cut : float
        Last value of the lower side; nan when there is no cut to try.
    z : float
        Standardised difference; positive when claims are more frequent at or below it.
    p_value : float
        Chance of so large a difference, in either direction, at the best of all cuts.
    cuts : int
        Cuts tried.
    hulls : int
        Hulls at or below it.
    observed : int
        Cases at or below it.
    expected : float
        Expected there.
    """

    cut: float
    z: float
    p_value: float
    cuts: int
    hulls: int
    observed: int
    expected: float


NO_CUT = BestCut(np.nan, 0.0, 1.0, 0, 0, 0, 0.0)


def cut_values(values: Floats) -> Floats:
    """Values at which to cut, chosen without a look at the claims.

    Parameters
    ----------
    values : array of float, shape (n,)
        Of all hulls at risk.

    Returns
    -------
    array of float
        Ascending; each leaves a tenth of the hulls or more on either side.

    Examples
    --------
    >>> cut_values(np.array([1.0, 2.0, 2.0, 3.0, 9.0]))
    array([1., 2., 3.])
    """
    ordered = np.sort(values)
    distinct = np.unique(ordered)
    if len(distinct) > MOST_CUTS:
        place = np.ceil(np.arange(1, MOST_CUTS + 1) * len(ordered) / (MOST_CUTS + 1)).astype(int)
        distinct = np.unique(ordered[place - 1])
    share = np.searchsorted(ordered, distinct, side="right") / max(1, len(ordered))
    wide = (share >= SMALLEST_SHARE - 1e-12) & (share <= 1.0 - SMALLEST_SHARE + 1e-12)
    result: Floats = distinct[wide]
    return result


def best_cut_in_risk_sets(
    hulls: Followed, values: Floats, weight: Floats, *, resamples: int, seed: int
) -> BestCut:
    """Search the best cut of a condition, and what such a search finds by chance.

    Parameters
    ----------
    hulls : Followed
        Hulls of known value only.
    values : array of float, shape (h,)
        The condition.
    weight : array of float, shape (h,)
        Rate of each hull relative to the others.
    resamples : int
        How often the claims are dealt out anew.
    seed : int
        Same seed, same result.

    Returns
    -------
    BestCut
        The p-value is (1 + hits) / (resamples + 1).
    """
    cases = hulls.cases
    cuts = cut_values(values[hulls.at_risk])
    if not len(cases) or not len(cuts):
        return NO_CUT
    side = np.searchsorted(cuts, np.where(hulls.at_risk, values, np.inf))  # 0: below all cuts
    chance = _below(hulls, side, len(cuts), weight)
    by_month = np.bincount(np.searchsorted(hulls.months, hulls.month[cases]))
    expected = by_month @ chance
    spread = np.sqrt(by_month @ (chance * (1.0 - chance)))

    def standardised(samples: Ints) -> Floats:
        width = len(cuts) + 1
        cell = np.arange(len(samples))[:, None] * width + side[samples]
        counts = np.bincount(cell.ravel(), minlength=len(samples) * width)
        below = counts.reshape(len(samples), width).cumsum(axis=1)[:, :-1]
        result: Floats = (below - expected) / np.where(spread > 0.0, spread, np.inf)
        return result

    z = standardised(cases[None, :])[0]
    best = int(np.argmax(np.abs(z)))
    drawn = hulls.draw(weight, resamples, np.random.default_rng(seed))
    largest = np.abs(standardised(drawn)).max(axis=1)
    hits = int((largest >= abs(z[best]) - 1e-9).sum())
    return BestCut(
        cut=float(cuts[best]),
        z=float(z[best]),
        p_value=(hits + 1) / (resamples + 1),
        cuts=len(cuts),
        hulls=int((side[hulls.at_risk] <= best).sum()),
        observed=int((side[cases] <= best).sum()),
        expected=float(expected[best]),
    )


def _below(hulls: Followed, side: Ints, cuts: int, weight: Floats) -> Floats:
    """Chance that a case of each month lies at or below each cut, shape (m, cuts)."""
    months = len(hulls.months)
    cell = hulls.sets_joined * (cuts + 1) + side
    mass = np.where(hulls.at_risk, weight, 0.0)
    table = np.bincount(cell, mass, (months + 1) * (cuts + 1)).reshape(months + 1, -1)
    at_risk = np.cumsum(table[:0:-1], axis=0)[::-1]
    result: Floats = at_risk.cumsum(axis=1)[:, :-1] / at_risk.sum(axis=1, keepdims=True)
    return result


def uneven(hulls: Followed, members: Bools, weight: Floats, *, resamples: int, seed: int) -> float:
    """Chance that cases spread so unevenly over bands, high and low ends alike.

    Parameters
    ----------
    hulls : Followed
        Hulls of known value only.
    members : array of bool, shape (k, h)
        Hulls of each band.
    weight : array of float, shape (h,)
        Rate of each hull relative to the others.
    resamples, seed : int
        As in :func:`best_cut_in_risk_sets`.

    Returns
    -------
    float
        Resampled p of the sum of ``(O - E)**2 / E``; 1 without a case.
    """
    cases = hulls.cases
    if not len(cases):
        return 1.0
    expected = members @ hulls.expected(weight)
    some = expected > 0.0

    def statistic(samples: Ints) -> Floats:
        observed = np.array([members[:, row].sum(axis=1) for row in samples])
        gap = (observed - expected)[:, some]
        result: Floats = (gap**2 / expected[some]).sum(axis=1)
        return result

    drawn = hulls.draw(weight, resamples, np.random.default_rng(seed))
    hits = int((statistic(drawn) >= statistic(cases[None, :])[0] - 1e-9).sum())
    return (hits + 1) / (resamples + 1)

"""Whether claims fall on broad levels as chance would have them, once differences are out.

If most levels look a little too good or too bad, some difference between hulls is not
allowed for, and every suspect is suspect itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from tracegraph.analysis.matched.familywise import draw_cases
from tracegraph.analysis.matched.search import Search
from tracegraph.stats.arrays import Floats, Ints
from tracegraph.stats.poisson_binomial import CaseCounts

BROAD = 1.0
"""Expected cases from which a level takes part."""

TOO_MUCH = 1.3
"""Inflation from which a baseline difference is said to be missing."""

_MOST = 300
_MEDIAN_CHI_SQUARE = 0.4549


@dataclass(frozen=True, eq=False)
class Calibration:
    """Observed p-values against those of resamples.

    Parameters
    ----------
    observed : array of float, shape (n,)
        Mid-p of the broad levels, ascending.
    low, middle, high : array of float, shape (n,)
        5 %, 50 % and 95 % quantile of the p-value at each place without any cause.
    inflation : float
        Median squared deviate over that of chance; 1 when well calibrated, nan without
        broad levels.
    inflation_high : float
        95 % quantile of it without any cause.
    """

    observed: Floats
    low: Floats
    middle: Floats
    high: Floats
    inflation: float
    inflation_high: float

    @property
    def missing_difference(self) -> bool:
        """Whether to look for a baseline difference before naming a suspect."""
        return self.inflation > max(TOO_MUCH, self.inflation_high)


def calibrate(found: Search, *, resamples: int = 199, seed: int = 0) -> Calibration:
    """Compare the p-values of broad levels with those of resamples.

    Parameters
    ----------
    found : Search
        A search.
    resamples : int, default 199
    seed : int
        Same seed, same result.

    Returns
    -------
    Calibration
        Of at most 300 levels, spread evenly over all broad ones.
    """
    sets = found.sets
    takes_part = sets.families[sets.exposure.level_family]
    broad = np.flatnonzero(takes_part & (found.screen.expected >= BROAD))
    broad = broad[np.linspace(0, len(broad) - 1, min(_MOST, len(broad))).astype(np.int64)]
    if not len(broad):
        nothing = np.zeros(0)
        return Calibration(nothing, nothing, nothing, nothing, float("nan"), float("nan"))
    weight = found.baseline.weight[sets.groups.group]
    drawn = draw_cases(sets.population, weight, resamples, np.random.default_rng(seed))
    counts = np.stack(
        [
            np.bincount(sets.exposure.levels_of(hulls), minlength=sets.exposure.levels)[broad]
            for hulls in drawn
        ]
    )
    own = found.screen.observed[broad]
    p = _mid_p(found, broad, np.vstack([own, counts]))
    inflation = np.median(ndtri(np.clip(p, 1e-12, 1 - 1e-12)) ** 2, axis=1) / _MEDIAN_CHI_SQUARE
    ranked = np.sort(p, axis=1)
    low, middle, high = np.quantile(ranked[1:], [0.05, 0.5, 0.95], axis=0)
    return Calibration(
        ranked[0],
        low,
        middle,
        high,
        float(inflation[0]),
        float(np.quantile(inflation[1:], 0.95)),
    )


def _mid_p(found: Search, levels: Ints, counts: Ints) -> Floats:
    """One-sided mid-p of every count of every level, each distinct one worked out once."""
    tables = found.sets.tables(levels)
    chance = tables.chance(found.baseline.weight)
    cases = tables.cases.astype(np.int64)
    certain = np.where(chance >= 1.0, cases, 0).sum(axis=1)
    possible = np.where(chance > 0.0, cases, 0).sum(axis=1)
    clipped = np.clip(counts, certain, possible)
    width = int(clipped.max()) + 1
    cells, place = np.unique(np.arange(len(levels)) * width + clipped, return_inverse=True)
    row, observed = cells // width, cells % width
    tests = CaseCounts(observed, chance[row], cases[row]).tests()
    result: Floats = tests.mid_p_greater[place].reshape(counts.shape)
    return result

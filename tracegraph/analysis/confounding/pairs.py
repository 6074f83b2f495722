"""Pairs: a lot that fails in one operator's hands only, a mold that dislikes one resin.

Both main effects are allowed for, so that a pair speaks only for what its two halves do
not explain.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.confounding.cells import FourCells, four_cells
from tracegraph.analysis.confounding.folding import scored, set_aside
from tracegraph.analysis.matched.population import COMPLETE, INCOMPLETE, ExposureMatrix
from tracegraph.analysis.matched.scores import FAMILY_PRICE, quick_log_factors
from tracegraph.analysis.matched.search import Search

FIRST_OF_PAIRS = 20
"""Suspects, by score, that may be one half of a pair."""

MOST_PAIRS = 500

SMALLEST_EXPECTED = 0.5
"""Cases that the hulls with both halves must expect under no effect."""

SMALLEST_OBSERVED = 3

_SCORED = 20
_SAME = 0.95


@dataclass(frozen=True, eq=False)
class Pair:
    """Two levels together.

    Attributes
    ----------
    first, second : int
        Positions of the levels.
    observed : int
        Cases that carry both.
    expected : float
        Cases expected to carry both, given what each does alone.
    ratio, low, high : float
        Rate ratio beyond the product of both, with 95 % limits.
    log_factor, score : float
        Log Bayes factor, and the same less the price of the pairs tried.
    excess : float
        Relative excess risk: joint ratio less both single ones plus 1; above 0 the two
        together do more than add up. nan where a cell expects nothing.
    cells : FourCells
        Hulls and cases with both, one, neither.
    """

    first: int
    second: int
    observed: int
    expected: float
    ratio: float
    low: float
    high: float
    log_factor: float
    score: float
    excess: float
    cells: FourCells


def interactions(found: Search, margins: tuple[str, ...]) -> list[Pair]:
    """Score pairs of a strong suspect with any level of another family.

    Parameters
    ----------
    found : Search
        A search.
    margins : tuple of str
        Differences that the baseline allows for.

    Returns
    -------
    list of Pair
        Best first; at most 20 of the pairs tried, which are at most 500: those with
        three or more cases and half an expected case or more.
    """
    tried = _candidates(found)
    order = np.argsort([-quick for _, _, quick in tried], kind="stable")
    price = FAMILY_PRICE * np.log(max(len(tried), 1))
    pairs = [
        _scored(found, margins, tried[place][0], tried[place][1], price)
        for place in order[:_SCORED]
    ]
    return sorted(pairs, key=lambda pair: -pair.score)


def _candidates(found: Search) -> list[tuple[int, int, float]]:
    """Pairs within the limits with a quick log Bayes factor, both ratios multiplied."""
    sets, baseline = found.sets, found.baseline
    exposure, population = sets.exposure, sets.population
    hazard = np.concatenate([[0.0], np.cumsum(baseline.hazard_steps)])
    each = baseline.weight[sets.groups.group] * hazard[population.sets_joined]
    each = np.where(population.at_risk, each, 0.0)
    takes_part = sets.families[exposure.level_family]
    with np.errstate(divide="ignore", invalid="ignore"):
        crude = np.where(
            found.screen.expected > 0.0, found.screen.observed / found.screen.expected, 1.0
        )
    single = np.clip(crude, 1.0, None)
    seen: set[tuple[int, int]] = set()
    pairs: list[tuple[int, int, float]] = []
    for first in found.levels[:FIRST_OF_PAIRS]:
        hulls = exposure.hulls_of(int(first)).astype(np.int64)
        place = exposure.levels_of(hulls)
        of_hull = np.repeat(hulls, np.diff(exposure.hull_start)[hulls])
        observed = np.bincount(place, population.case[of_hull], minlength=exposure.levels)
        expected = np.bincount(place, each[of_hull], minlength=exposure.levels)
        size = np.bincount(place, population.at_risk[of_hull], minlength=exposure.levels)
        fits = (
            takes_part
            & (observed >= SMALLEST_OBSERVED)
            & (expected >= SMALLEST_EXPECTED)
            & (exposure.level_family != exposure.level_family[first])
            & (size < _SAME * np.minimum(found.screen.exposed, found.screen.exposed[first]))
        )
        for second in np.flatnonzero(fits):
            key = (min(int(first), int(second)), max(int(first), int(second)))
            if key in seen:
                continue
            seen.add(key)
            mean = expected[second] * max(single[first], single[second])
            quick = quick_log_factors(
                observed[second : second + 1].astype(np.int64),
                np.array([mean]),
                np.array([mean * mean / len(population.cases)]),
            )
            pairs.append((int(first), int(second), float(quick[0])))
    return sorted(pairs, key=lambda pair: -pair[2])[:MOST_PAIRS]


def _scored(found: Search, margins: tuple[str, ...], first: int, second: int, price: float) -> Pair:
    sets = found.sets
    exposure = sets.exposure
    population = set_aside(sets.population, exposure, first, "first half")
    population = set_aside(population, exposure, second, "second half")
    both = exposure.carries(first) & exposure.carries(second)
    known = exposure.known(first) & exposure.known(second)
    joint = ExposureMatrix.of_one_level(both, np.where(known | both, COMPLETE, INCOMPLETE))
    result = scored(population, joint, (*margins, "first half", "second half"), np.array([0]))
    effect = result.effects
    cells = four_cells(sets, found.baseline.weight, first, second)
    ratio = cells.ratio / cells.ratio[3]
    factor = float(result.log_factor[0])
    return Pair(
        first=first,
        second=second,
        observed=int(effect.counts.observed[0]),
        expected=float(effect.expected[0]),
        ratio=float(effect.ratios.ratio[0]),
        low=float(effect.low[0]),
        high=float(effect.high[0]),
        log_factor=factor,
        score=factor - price,
        excess=float(ratio[0] - ratio[1] - ratio[2] + 1.0),
        cells=cells,
    )

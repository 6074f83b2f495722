"""How often chance alone makes two levels together look as strong as a pair does.

The search for pairs is repeated on each row of cases drawn for the levels, within the same
limits. Levels and pairs were all looked at, so the strongest of both is what counts.
"""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_array

from tracegraph.analysis.confounding.pairs import (
    BEYOND_HALVES,
    FIRST_OF_PAIRS,
    SAME,
    SMALLEST_EXPECTED,
    SMALLEST_OBSERVED,
    Pair,
    joint_exposure,
    pair_price,
)
from tracegraph.analysis.matched.familywise import full_factors, price
from tracegraph.analysis.matched.risk import RiskSets
from tracegraph.analysis.matched.scores import quick_log_factors
from tracegraph.analysis.matched.search import Search
from tracegraph.domain.stopping import stop_if_asked
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.resampling import max_statistic_p

FINALISTS = 3
"""Pairs of each resample that are scored in full, by their quick scores."""

MOST_ROWS = 2_000_000
"""Rows of exposure up to which the search for pairs is repeated."""

_SLACK = 1.0
"""How far the exact score of a pair may lie above its quick one."""

_KEPT = 2**25
"""Numbers kept of hulls that levels share, before they are counted anew."""


def chance_of_pairs(found: Search, pairs: list[Pair]) -> Floats:
    """Chance that the strongest of all levels and pairs is as strong without any cause.

    Parameters
    ----------
    found : Search
        A search.
    pairs : list of Pair
        Of that search.

    Returns
    -------
    array of float, shape (n,)
        At least the chance that a level of the same score has by itself; nan where the
        records are more than :data:`MOST_ROWS` rows of exposure, on which a repeated search
        for pairs takes too long.

    Notes
    -----
    Pairs drawn by chance are those whose half is among the first 60 levels of the resample
    and that say more than their halves by the quick score. Neither the limit of 500 pairs
    nor the exact score beyond both halves is applied, which errs towards a larger p.
    """
    if not pairs:
        return np.zeros(0)
    score = np.array([pair.score for pair in pairs])
    if len(found.sets.exposure.level_hulls) > MOST_ROWS:
        return np.full(len(pairs), np.nan)
    # Where a level alone passes every pair, or no pair could pass the least, nothing hangs on it.
    largest = found.null.largest.copy()
    asked = np.flatnonzero(largest < score.max())
    floor = np.maximum(largest[asked], score.min())
    drawn = found.null.drawn[asked]
    largest[asked] = np.maximum(largest[asked], leading_pairs(found, drawn, floor))
    return max_statistic_p(score, largest)


def leading_pairs(found: Search, drawn: Ints, floor: Floats) -> Floats:
    """Search for pairs once for each row of drawn cases.

    Parameters
    ----------
    found : Search
        Gives the limits and the weights.
    drawn : array of int, shape (b, c)
        Drawn cases.
    floor : array of float, shape (b,)
        Score that a pair must pass to be of interest.

    Returns
    -------
    array of float, shape (b,)
        Largest score of a pair where it passes the floor; elsewhere some smaller number.
    """
    number, halves = _finalists(found, drawn, floor)
    largest = np.full(len(drawn), -np.inf)
    if not len(number):
        return largest
    distinct, level = np.unique(halves, axis=0, return_inverse=True)
    joint = joint_exposure(found.sets.exposure, distinct)
    sets = RiskSets(found.sets.population, joint, found.sets.groups)
    factor = full_factors(sets, found.baseline, drawn, number, level.ravel())
    np.maximum.at(largest, number, factor - pair_price(found, distinct)[level.ravel()])
    return largest


def _finalists(found: Search, drawn: Ints, floor: Floats) -> tuple[Ints, Ints]:
    """The few strongest pairs of each resample by their quick scores: resample, halves."""
    sets, screen = found.sets, found.screen
    exposure = sets.exposure
    takes_part = (
        sets.families[exposure.level_family]
        & (screen.expected >= SMALLEST_EXPECTED)
        & (found.rivals > 0)
    )
    shared = _Shared(found)
    prices, most = price(found.rivals), _at_the_least_expected(found)
    resample, halves = [np.zeros(0, np.int64)], [np.zeros((0, 2), np.int64)]
    for number, hulls in enumerate(drawn):
        stop_if_asked()
        carried = _carried(found, hulls)
        counts = np.bincount(carried.indices, minlength=exposure.levels)
        able = np.flatnonzero(takes_part & (counts >= SMALLEST_OBSERVED))
        quick = quick_log_factors(counts[able], screen.expected[able], screen.second[able])
        first = able[np.argsort(prices[able] - quick, kind="stable")[:FIRST_OF_PAIRS]]
        one, two, observed = _together(carried, first, takes_part)
        apart = exposure.level_family[one] != exposure.level_family[two]
        one, two, observed = one[apart], two[apart], observed[apart]
        asked = pair_price(found, np.stack([one, two], axis=1)) + floor[number]
        able = most[observed] > asked - _SLACK
        one, two, observed = one[able], two[able], observed[able]
        best, points = _strongest(found, shared, counts, one, two, observed)
        chosen = np.argsort(-points, kind="stable")[:FINALISTS]
        pairs = np.stack([one[best[chosen]], two[best[chosen]]], axis=1)
        resample.append(np.full(len(pairs), number))
        halves.append(np.sort(pairs, axis=1))
    return np.concatenate(resample), np.concatenate(halves)


def _carried(found: Search, hulls: Ints) -> csr_array:
    """Which of the drawn cases carries which level, shape (c, l)."""
    exposure = found.sets.exposure
    levels = exposure.levels_of(hulls)
    start = np.concatenate([[0], np.cumsum(np.diff(exposure.hull_start)[hulls])])
    shape = (len(hulls), exposure.levels)
    return csr_array((np.ones(len(levels), np.int32), levels, start), shape=shape)


def _together(carried: csr_array, first: Ints, takes_part: Bools) -> tuple[Ints, Ints, Ints]:
    """Pairs that three drawn cases or more carry: first half, second half, cases."""
    shared = (carried[:, first].T @ carried).tocoo()
    kept = (shared.data >= SMALLEST_OBSERVED) & takes_part[shared.col]
    return (
        first[shared.row[kept]],
        shared.col[kept].astype(np.int64),
        shared.data[kept].astype(np.int64),
    )


def _at_the_least_expected(found: Search) -> Floats:
    """Largest quick log Bayes factor of a pair by its cases, shape (c + 1,)."""
    cases = len(found.sets.population.cases)
    least = np.full(cases + 1, SMALLEST_EXPECTED)
    return quick_log_factors(np.arange(cases + 1), least, least * least / cases)


def _strongest(
    found: Search, shared: _Shared, counts: Ints, one: Ints, two: Ints, observed: Ints
) -> tuple[Ints, Floats]:
    """Places of pairs within the limits that say more than their halves; their scores."""
    screen = found.screen
    expected, size = shared.of(one, two)
    cases = len(found.sets.population.cases)
    limit = SAME * np.minimum(screen.exposed[one], screen.exposed[two])
    inside = np.flatnonzero((expected >= SMALLEST_EXPECTED) & (size < limit))
    one, two = one[inside], two[inside]
    observed, expected = observed[inside], expected[inside]
    single = np.clip(counts / np.where(screen.expected > 0.0, screen.expected, np.inf), 1.0, None)
    mean = expected * np.maximum(single[one], single[two])
    beyond = quick_log_factors(observed, mean, mean * mean / cases)
    joint = quick_log_factors(observed, expected, expected * expected / cases)
    points = joint - pair_price(found, np.stack([one, two], axis=1))
    more = np.flatnonzero(beyond > BEYOND_HALVES)
    return inside[more], points[more]


class _Shared:
    """Cases to be expected and hulls at risk with two levels, counted once for each first."""

    def __init__(self, found: Search) -> None:
        self._found = found
        self._each = found.usual_claims
        self._kept: dict[int, tuple[Floats, Ints]] = {}

    def of(self, one: Ints, two: Ints) -> tuple[Floats, Ints]:
        """Expected cases and hulls at risk that carry both of each pair."""
        expected, size = np.zeros(len(one)), np.zeros(len(one), np.int64)
        order = np.argsort(one, kind="stable")
        edges = np.flatnonzero(np.diff(one[order])) + 1
        for own in np.split(order, edges) if len(one) else ():
            cases, hulls = self._with(int(one[own[0]]))
            expected[own], size[own] = cases[two[own]], hulls[two[own]]
        return expected, size

    def _with(self, first: int) -> tuple[Floats, Ints]:
        if first in self._kept:
            return self._kept[first]
        exposure = self._found.sets.exposure
        if (len(self._kept) + 1) * exposure.levels > _KEPT:
            self._kept.clear()
        hulls = exposure.hulls_of(first).astype(np.int64)
        hulls = hulls[self._found.sets.population.at_risk[hulls]]
        level = exposure.levels_of(hulls)
        each = np.repeat(self._each[hulls], np.diff(exposure.hull_start)[hulls])
        self._kept[first] = (
            np.bincount(level, each, minlength=exposure.levels).astype(np.float64),
            np.bincount(level, minlength=exposure.levels).astype(np.int64),
        )
        return self._kept[first]

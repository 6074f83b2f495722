"""How often chance alone makes two levels together look as strong as a pair does.

The search for pairs is repeated on each row of cases drawn for the levels, within the same
limits. Levels and pairs were all looked at, so the strongest of both is what counts.
"""

from __future__ import annotations

import numpy as np

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
from tracegraph.analysis.matched.population import ExposureMatrix
from tracegraph.analysis.matched.risk import RiskSets
from tracegraph.analysis.matched.scores import quick_log_factors
from tracegraph.analysis.matched.search import Search
from tracegraph.domain.stopping import stop_if_asked
from tracegraph.stats.arrays import Floats, Ints
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
        level = exposure.levels_of(hulls)
        counts = np.bincount(level, minlength=exposure.levels)
        able = np.flatnonzero(takes_part & (counts >= SMALLEST_OBSERVED))
        quick = quick_log_factors(counts[able], screen.expected[able], screen.second[able])
        first = able[np.argsort(prices[able] - quick, kind="stable")[:FIRST_OF_PAIRS]]
        one, two, observed = _together(exposure, hulls, np.sort(able), first)
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


def _together(
    exposure: ExposureMatrix, hulls: Ints, able: Ints, first: Ints
) -> tuple[Ints, Ints, Ints]:
    """Pairs that three drawn cases or more carry: first half, second half, cases.

    No level outside ``able``, those that three carry, can be half of such a pair.
    """
    level = exposure.levels_of(hulls)
    case = np.repeat(np.arange(len(hulls)), np.diff(exposure.hull_start)[hulls])
    place = np.full(exposure.levels, -1)
    place[able] = np.arange(len(able))
    kept = place[level] >= 0
    carried = np.zeros((len(hulls), len(able)), np.float32)
    carried[case[kept], place[level[kept]]] = 1.0
    shared = carried[:, place[first]].T @ carried
    row, column = np.nonzero(shared >= SMALLEST_OBSERVED)
    return first[row], able[column], shared[row, column].astype(np.int64)


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
        self._levels = found.sets.exposure.levels
        self._most = max(_KEPT // max(self._levels, 1), FIRST_OF_PAIRS)
        self._forget()

    def of(self, one: Ints, two: Ints) -> tuple[Floats, Ints]:
        """Expected cases and hulls at risk that carry both of each pair.

        The first halves are :data:`FIRST_OF_PAIRS` at most.
        """
        first = np.unique(one)
        missing = first[self._place[first] < 0]
        if self._counted + len(missing) > self._most:
            self._forget()
            missing = first
        for level in missing:
            self._count(int(level))
        row = self._place[one]
        return self._cases[row, two], self._hulls[row, two]

    def _forget(self) -> None:
        self._place = np.full(self._levels, -1)
        self._counted = 0
        self._cases = np.empty((FIRST_OF_PAIRS, self._levels))
        self._hulls = np.empty((FIRST_OF_PAIRS, self._levels), np.int64)

    def _count(self, first: int) -> None:
        exposure = self._found.sets.exposure
        hulls = exposure.hulls_of(first).astype(np.int64)
        hulls = hulls[self._found.sets.population.at_risk[hulls]]
        level = exposure.levels_of(hulls)
        each = np.repeat(self._each[hulls], np.diff(exposure.hull_start)[hulls])
        row = self._counted
        if row == len(self._cases):
            more = np.empty_like(self._cases), np.empty_like(self._hulls)
            self._cases = np.concatenate([self._cases, more[0]])
            self._hulls = np.concatenate([self._hulls, more[1]])
        self._cases[row] = np.bincount(level, each, minlength=self._levels)
        self._hulls[row] = np.bincount(level, minlength=self._levels)
        self._place[first] = row
        self._counted += 1

"""How often chance alone puts a suspect as strong on top of the list.

Cases are drawn anew inside their risk sets and the whole search is repeated. A drawn hull
brings all that it carries along, so that levels which go together stay together.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

import numpy as np

from tracegraph.analysis.matched.population import Population
from tracegraph.analysis.matched.risk import RiskSets, Screen
from tracegraph.analysis.matched.scores import (
    FAMILY_PRICE,
    Baseline,
    least_cases,
    log_factors,
    log_likelihoods,
    quick_log_factors,
)
from tracegraph.domain.stopping import stop_if_asked
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.stats.bayes_factor import RATIOS
from tracegraph.stats.resampling import max_statistic_p

FINALISTS = 8
"""Levels of each resample that are scored in full, by their quick scores."""

FEWEST_CASES = 2
"""A level needs this many exposed cases to be a suspect."""

_PASSES = 60
"""Times that repeated hulls are drawn again; where a few hulls have nearly all the weight
that would go on for thousands."""

_PILOT = 20
_CELLS = 2**19


def seed_from(*words: str) -> int:
    """Seed that depends on the words alone, such as data version and definition.

    Examples
    --------
    >>> seed_from("a", "b") == seed_from("a", "b") != seed_from("ab")
    True
    """
    text = "\x1f".join(words)
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big")


@dataclass(frozen=True, eq=False)
class NullScores:
    """Scores of the strongest levels when nothing is the cause.

    Parameters
    ----------
    largest : array of float, shape (b,)
        Largest score of each resample; minus infinity where no level was eligible.
    drawn : array of int, shape (b, c)
        The cases of each resample, from :func:`draw_cases`.
    """

    largest: Floats
    drawn: Ints

    def p_family(self, score: Floats) -> Floats:
        """Chance that the strongest of all levels is as strong without any cause, shape (n,)."""
        return max_statistic_p(score, self.largest)

    def threshold(self, p: float) -> float:
        """Score that the strongest level passes with chance ``p`` without any cause."""
        return float(np.quantile(self.largest, 1.0 - p, method="higher"))


def draw_cases(
    population: Population, hull_weight: Floats, resamples: int, rng: np.random.Generator
) -> Ints:
    """Draw as many cases as there are, each from the hulls still followed at its month.

    A hull that was a case is followed as long as any other until it is drawn.

    Parameters
    ----------
    population : Population
        The hulls.
    hull_weight : array of float, shape (h,)
        Weight of each hull.
    resamples : int
        How many times.
    rng : numpy.random.Generator
        Source of chance.

    Returns
    -------
    array of int, shape (resamples, c)
        Positions of hulls, ordered by month; no hull twice in one resample. Column i was
        drawn from the risk set of the i-th case in order of month.
    """
    joined = population.sets_open
    order = np.argsort(-joined, kind="stable")
    weight = np.where(joined[order] > 0, hull_weight[order], 0.0)
    reach = np.cumsum(weight)
    month = np.sort(population.sets_joined[population.cases])
    # Hulls in at least k risk sets come first in the order.
    last = np.searchsorted(-joined[order], -month, side="right") - 1
    total = reach[last]
    place = np.zeros((resamples, len(month)), np.int64)
    unsettled, again = np.arange(resamples), np.ones(place.shape, np.bool_)
    for _ in range(_PASSES):
        row, column = np.nonzero(again)
        drawn = np.searchsorted(reach, rng.random(len(row)) * total[column], side="right")
        place[unsettled[row], column] = np.minimum(drawn, last[column])
        again = _repeats(place[unsettled])
        repeated = again.any(axis=1)
        unsettled, again = unsettled[repeated], again[repeated]
        if not len(unsettled):
            break
    for number in unsettled.tolist():
        place[number] = _by_arrival(weight, last, rng)
    return order[place]


def _by_arrival(weight: Floats, last: Ints, rng: np.random.Generator) -> Ints:
    """Draw the cases of one resample one after another, without drawing in vain.

    Of hulls that arrive at rates proportional to their weights, the next to arrive is any
    of them with the share of its weight. The smallest risk set goes first; the hulls that
    join later begin to wait when they do. Of one month, the last case is drawn first.

    Parameters
    ----------
    weight : array of float, shape (h,)
        Weight of each hull.
    last : array of int, shape (c,)
        Place of the last hull of the risk set of each case, falling.
    """
    place = np.empty(len(last), np.int64)
    arrival = np.full(len(weight), np.inf)
    now, joined = 0.0, 0
    for end in np.unique(last):
        same = np.flatnonzero(last == end)
        wait = rng.standard_exponential(end + 1 - joined)
        with np.errstate(divide="ignore"):
            arrival[joined : end + 1] = now + wait / weight[joined : end + 1]
        joined = int(end) + 1
        drawn = np.argpartition(arrival[:joined], len(same) - 1)[: len(same)]
        drawn = drawn[np.argsort(arrival[drawn], kind="stable")]
        now = float(arrival[drawn[-1]])
        arrival[drawn] = np.inf
        place[same[::-1]] = drawn
    return place


def _repeats(drawn: Ints) -> Bools:
    """Marks entries that stand again in a later column of their row.

    Early cases give way: their risk sets hold all hulls of the later ones and more, so
    that there is always another hull to draw.
    """
    order = np.argsort(drawn, axis=1, kind="stable")
    ranked = np.take_along_axis(drawn, order, axis=1)
    result = np.zeros(drawn.shape, np.bool_)
    np.put_along_axis(result, order[:, :-1], ranked[:, 1:] == ranked[:, :-1], axis=1)
    return result


def null_scores(
    sets: RiskSets,
    baseline: Baseline,
    screen: Screen,
    rivals: Ints,
    *,
    resamples: int,
    seed: int,
) -> NullScores:
    """Repeat the search on cases drawn inside their risk sets.

    Parameters
    ----------
    sets : RiskSets
        The risk sets.
    baseline : Baseline
        Weights under no cause.
    screen : Screen
        Counts of every level at those weights.
    rivals : array of int, shape (l,)
        Levels that compete in the family of each level.
    resamples : int
        How often.
    seed : int
        Same seed, same result.

    Returns
    -------
    NullScores
        Largest scores.
    """
    rng = np.random.default_rng(seed)
    weight = baseline.weight[sets.groups.group]
    drawn = draw_cases(sets.population, weight, resamples, rng)
    return NullScores(leaders(sets, baseline, screen, price(rivals), drawn), drawn)


def price(rivals: Ints) -> Floats:
    """What is taken off the log Bayes factor of each level, shape (l,)."""
    return FAMILY_PRICE * np.log(np.maximum(rivals, 1))


def leaders(
    sets: RiskSets,
    baseline: Baseline,
    screen: Screen,
    prices: Floats,
    drawn: Ints,
    *,
    fewest: int = FEWEST_CASES,
) -> Floats:
    """Search once for each row of drawn cases.

    Parameters
    ----------
    sets : RiskSets
        The risk sets.
    baseline : Baseline
        Weights under no cause.
    screen : Screen
        Counts of every level at those weights.
    prices : array of float, shape (l,)
        Taken off the log Bayes factors.
    drawn : array of int, shape (b, c)
        From :func:`draw_cases`.
    fewest : int
        Exposed cases with which a level is eligible.

    Returns
    -------
    array of float, shape (b,)
        Largest full score among the levels with the best quick scores; minus infinity
        where no level is eligible.
    """
    takes_part = sets.families[sets.exposure.level_family] & (screen.expected > 0.0)
    number, level = _finalists(sets, screen, prices, takes_part, drawn, fewest)
    largest = np.full(len(drawn), -np.inf)
    if len(level):
        factor = full_factors(sets, baseline, drawn, number, level)
        np.maximum.at(largest, number, factor - prices[level])
    return largest


def _finalists(
    sets: RiskSets, screen: Screen, prices: Floats, takes_part: Bools, drawn: Ints, fewest: int
) -> tuple[Ints, Ints]:
    """The few strongest levels of each resample by their quick scores: resample, level."""
    matrix = sets.exposure
    needed = np.full(matrix.levels, fewest, np.int64)
    resample, level = [np.zeros(0, np.int64)], [np.zeros(0, np.int64)]
    floors: list[float] = []
    for number, hulls in enumerate(drawn):
        stop_if_asked()
        if number == _PILOT and floors:
            needed = _counts_needed(screen, prices, takes_part, min(floors), fewest)
        counts = np.bincount(matrix.levels_of(hulls), minlength=matrix.levels)
        found = np.flatnonzero(counts >= needed)
        found = found[takes_part[found]]
        if len(found) == 0:
            found = np.flatnonzero((counts >= fewest) & takes_part)
        quick = quick_log_factors(counts[found], screen.expected[found], screen.second[found])
        quick -= prices[found]
        best = np.argsort(-quick, kind="stable")[:FINALISTS]
        if len(best):
            floors.append(float(quick[best].min()))
        resample.append(np.full(len(best), number))
        level.append(found[best])
    return np.concatenate(resample), np.concatenate(level)


def _counts_needed(
    screen: Screen, prices: Floats, takes_part: Bools, floor: float, fewest: int
) -> Ints:
    """Exposed cases without which a level cannot pass a quick score."""
    needed = np.full(len(prices), fewest, np.int64)
    active = np.flatnonzero(takes_part)
    least = least_cases(screen.expected[active], screen.second[active], floor + prices[active])
    needed[active] = np.maximum(fewest, np.ceil(least)).astype(np.int64)
    return needed


def full_factors(
    sets: RiskSets, baseline: Baseline, drawn: Ints, number: Ints, level: Ints
) -> Floats:
    """Log Bayes factors of levels in resamples, weights estimated jointly in each.

    Parameters
    ----------
    sets : RiskSets
        Of the levels asked about.
    baseline : Baseline
        Weights under no cause.
    drawn : array of int, shape (b, c)
        From :func:`draw_cases`.
    number, level : array of int, shape (n,)
        Resample and level.

    Returns
    -------
    array of float, shape (n,)
        In the given order.
    """
    result = np.empty(len(level))
    rows = max(1, _CELLS // (len(sets.groups.cases) * max(1, sets.months)))
    for start in range(0, len(level), rows):
        stop_if_asked()
        part = slice(start, start + rows)
        tables = sets.drawn_tables(level[part], drawn[number[part]])
        result[part] = log_factors(log_likelihoods(baseline, tables, RATIOS))
    return result

"""What the claims at hand could have shown at all: silence is not innocence."""

from __future__ import annotations

import numpy as np

from tracegraph.analysis.matched.evidence import CHANCE
from tracegraph.analysis.matched.familywise import FEWEST_CASES, price
from tracegraph.analysis.matched.scores import quick_log_factors
from tracegraph.analysis.matched.search import Search
from tracegraph.stats.arrays import Bools, Floats

POWER = 0.80

LARGEST = 1000.0
"""Rate ratio beyond which a level is said to be undetectable."""

_MANY_LEVELS = 20


def typical_level(found: Search, families: Bools | None = None) -> int | None:
    """A level of median size among those of families with many levels, such as lots.

    Parameters
    ----------
    found : Search
        A search.
    families : array of bool, shape (f,), optional
        Families meant; all that take part when left out.

    Returns
    -------
    int or None
        Its position; None where no family has 20 levels with two hulls at risk.
    """
    sets = found.sets
    meant = sets.families if families is None else sets.families & families
    counted = (
        meant[sets.exposure.level_family]
        & (found.rivals >= _MANY_LEVELS)
        & (found.screen.exposed >= 2)
        & (found.screen.expected > 0.0)
    )
    levels = np.flatnonzero(counted)
    if not len(levels):
        return None
    order = levels[np.argsort(found.screen.exposed[levels], kind="stable")]
    return int(order[len(order) // 2])


def smallest_detectable(found: Search, level: int, *, power: float = POWER) -> float:
    """Smallest rate ratio at which a level would pass chance, as often as asked.

    Parameters
    ----------
    found : Search
        A search.
    level : int
        Position of the level.
    power : float, default 0.8
        How often it should be noticed.

    Returns
    -------
    float
        Infinite where not even a rate ratio of 1,000 would be.
    """
    screen = found.screen
    most = int(min(screen.exposed[level], len(found.sets.population.cases)))
    tried = np.arange(FEWEST_CASES, most + 1)
    if not len(tried):
        return float("inf")
    quick = quick_log_factors(
        tried,
        np.full(len(tried), screen.expected[level]),
        np.full(len(tried), screen.second[level]),
    )
    points = quick - float(price(found.rivals[level : level + 1])[0])
    passing = tried[points >= found.null.threshold(CHANCE)]
    if not len(passing):
        return float("inf")
    tables = found.sets.tables(np.array([level]))
    chance = np.repeat(tables.chance(found.baseline.weight)[0], tables.cases[0].astype(np.int64))

    def noticed(ratio: float) -> float:
        return _tail(chance * ratio / (1.0 + chance * (ratio - 1.0)), int(passing[0]))

    if noticed(LARGEST) < power:
        return float("inf")
    low, high = 0.0, float(np.log(LARGEST))
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if noticed(float(np.exp(middle))) < power else (low, middle)
    return float(np.exp(high))


def _tail(chance: Floats, at_least: int) -> float:
    """Chance of so many successes or more, each with its own chance."""
    fewer = np.zeros(at_least)
    if at_least:
        fewer[0] = 1.0
    for p in chance:
        fewer[1:] = fewer[1:] * (1.0 - p) + fewer[:-1] * p
        fewer[:1] *= 1.0 - p
    return float(1.0 - fewer.sum())

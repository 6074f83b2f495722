"""What is left of a level once a cause that it overlaps is set aside."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import binom

from tests.analysis.matched.hulls import exposure, population
from tracegraph.analysis.confounding.folding import given, still_matters

HULLS, CAUSE, PLANTS = 300, 40, 120


def plant(seed: int, inside: int, outside: int, ratio: float = 1.0):
    """Forty hulls in a row that fail twelve times as often, and a level that shares some."""
    rng = np.random.default_rng([3, seed])
    cause = np.arange(100, 100 + CAUSE)
    others = np.setdiff1d(np.arange(HULLS), cause)
    level = np.concatenate(
        [rng.choice(cause, inside, replace=False), rng.choice(others, outside, replace=False)]
    )
    rate = np.full(HULLS, 0.003)
    rate[cause] *= 12.0
    rate[level] *= ratio
    age = np.ceil(rng.exponential(size=HULLS) / rate).astype(int)
    people = population(np.full(HULLS, 9), np.where(age <= 9, age, -1))
    return people, exposure([[cause], [level]], HULLS)


def after(inside: int, outside: int, ratio: float = 1.0):
    """p of the level given the cause, and whether its limits hold, on every plant."""
    p, holds = [], []
    for seed in range(PLANTS):
        people, matrix = plant(seed, inside, outside, ratio)
        found = given(people, matrix, (), 0, np.array([1])).effects
        p.append(found.tests.greater[0])
        holds.append(found.low[0] <= ratio <= found.high[0])
    return np.array(p), np.array(holds)


@pytest.mark.parametrize(("inside", "outside"), [(36, 0), (40, 20)])
def test_a_bystander_of_a_cause_set_aside_is_no_more_often_significant_than_chance(inside, outside):
    p, holds = after(inside, outside)
    for limit in (0.01, 0.05, 0.2):
        assert (p <= limit).sum() <= binom.ppf(0.999, PLANTS, limit)
    assert holds.sum() >= binom.ppf(0.001, PLANTS, 0.95)


def test_a_level_that_matters_beside_the_cause_is_still_found():
    p, holds = after(20, 10, ratio=4.0)
    assert (p <= 0.05).mean() > 0.8
    assert holds.sum() >= binom.ppf(0.001, PLANTS, 0.95)


def test_nothing_is_left_of_a_second_name_of_the_same_hulls():
    month = np.full(60, -1)
    month[:8] = np.arange(1, 9)
    people = population(np.full(60, 12), month)
    matrix = exposure([[np.arange(20)], [np.arange(20)]], 60)
    assert still_matters(people, matrix, (), 1, 0) == 1.0

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.stats.bayes_factor import RATIOS, WEIGHTS, bayes_factors
from tracegraph.stats.poisson_binomial import CaseCounts


def test_the_grid_is_what_the_method_says():
    assert len(RATIOS) == 16
    assert (RATIOS[0], RATIOS[-1]) == pytest.approx((1.5, 60.0))
    assert np.diff(np.log(RATIOS)) == pytest.approx(math.log(40) / 15)
    assert WEIGHTS.sum() == pytest.approx(1.0)
    ratio = math.exp(-(math.log(60 / 5) ** 2) / 2) / math.exp(-(math.log(1.5 / 5) ** 2) / 2)
    assert WEIGHTS[-1] / WEIGHTS[0] == pytest.approx(ratio)


def by_hand(observed, chances, cases, rivals):
    """The same in plain Python, one level at a time."""
    likelihood = []
    for g in RATIOS:
        value = g**observed
        for p, n in zip(chances, cases, strict=True):
            value /= (1 + p * (g - 1)) ** n
        likelihood.append(value)
    factor = sum(w * x for w, x in zip(WEIGHTS, likelihood, strict=True))
    mass = [1 - 1 / rivals] + [w * x / rivals for w, x in zip(WEIGHTS, likelihood, strict=True)]
    ratios = [1.0, *RATIOS]
    mean_log = sum(m * math.log(r) for m, r in zip(mass, ratios, strict=True)) / sum(mass)
    running, low = 0.0, None
    for m, r in zip(mass, ratios, strict=True):
        running += m / sum(mass)
        if running >= 0.05:
            low = r
            break
    return math.log(factor), math.exp(mean_log), low


def test_against_plain_python():
    chances = [[0.1, 0.02], [0.3, 0.3], [0.001, 0.01]]
    observed, cases, rivals = [6, 2, 4], [[10, 5], [1, 1], [20, 30]], [20, 1, 500]
    got = bayes_factors(CaseCounts(observed, chances, cases), rivals)
    for i in range(3):
        factor, shrunken, low = by_hand(observed[i], chances[i], cases[i], rivals[i])
        assert got.log_factor[i] == pytest.approx(factor, rel=1e-12)
        assert got.shrunken_ratio[i] == pytest.approx(shrunken, rel=1e-12)
        assert got.shrunken_low[i] == pytest.approx(low, rel=1e-12)


def test_one_claim_can_never_top_the_list():
    """At best the factor of a lone claim is the prior mean ratio over its limit."""
    one = bayes_factors(CaseCounts([1], [[1e-9]], [1]), rivals=1)
    assert one.log_factor[0] == pytest.approx(math.log((WEIGHTS * RATIOS).sum()), rel=1e-6)
    strong = bayes_factors(CaseCounts([8], [[0.01]], [30]), rivals=1)
    assert strong.log_factor[0] > one.log_factor[0]


def test_nothing_observed_speaks_against():
    got = bayes_factors(CaseCounts([0], [[0.3]], [20]), rivals=10)
    assert got.log_factor[0] < 0.0
    assert got.shrunken_ratio[0] == pytest.approx(1.0, abs=1e-2)
    assert got.shrunken_low[0] == 1.0


@given(st.integers(0, 12), st.floats(0.001, 0.9), st.integers(1, 5000))
def test_shrinkage_stays_within_bounds_and_grows_with_rivals(observed, chance, rivals):
    counts = CaseCounts([observed], [[chance]], [12])
    few, many = bayes_factors(counts, rivals), bayes_factors(counts, rivals * 10)
    assert 1.0 <= many.shrunken_ratio[0] <= few.shrunken_ratio[0] <= 60.0
    assert many.shrunken_low[0] <= few.shrunken_low[0]
    assert many.log_factor[0] == few.log_factor[0]


def test_many_levels_give_what_one_level_gives():
    rng = np.random.default_rng(5)
    chances, cases = rng.random((3000, 36)) * 0.1, rng.integers(0, 5, 36)
    observed = rng.binomial(cases, chances).sum(axis=1)
    whole = bayes_factors(CaseCounts(observed, chances, cases), rivals=150)
    alone = bayes_factors(CaseCounts(observed[-1:], chances[-1:], cases), rivals=150)
    assert whole.log_factor[-1] == pytest.approx(alone.log_factor[0], rel=1e-12)

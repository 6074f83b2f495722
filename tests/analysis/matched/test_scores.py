from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import gammaln

from tests.analysis.matched.hulls import baseline, chance_hulls, exposure, population, risk_sets
from tracegraph.analysis.matched.effects import case_counts
from tracegraph.analysis.matched.groups import RiskGroups
from tracegraph.analysis.matched.offsets import Offsets, fit_with_level
from tracegraph.analysis.matched.scores import (
    least_cases,
    log_factors,
    log_likelihoods,
    quick_log_factors,
    score,
)
from tracegraph.stats.bayes_factor import RATIOS, bayes_factors


@given(st.integers(0, 100))
def test_without_margins_it_is_the_plain_bayes_factor(seed):
    people, matrix = chance_hulls(seed)
    if not len(people.cases):
        return
    tables = risk_sets(people, matrix, ()).tables(np.arange(matrix.levels))
    ours = log_factors(log_likelihoods(baseline(people, ()), tables, RATIOS))
    counts = case_counts(tables, np.ones(1))
    np.testing.assert_allclose(ours, bayes_factors(counts, rivals=5).log_factor, atol=1e-9)


@given(st.integers(0, 100))
def test_the_quick_value_is_never_below_the_exact_one(seed):
    people, matrix = chance_hulls(seed)
    if not len(people.cases):
        return
    sets = risk_sets(people, matrix, ())
    screen = sets.screen(np.ones(1))
    tables = sets.tables(np.arange(matrix.levels))
    exact = log_factors(log_likelihoods(baseline(people, ()), tables, RATIOS))
    quick = quick_log_factors(screen.observed, screen.expected, screen.second)
    assert (quick >= exact - 1e-9).all()


@given(
    st.integers(2, 30),
    st.floats(0.01, 20.0),
    st.floats(0.01, 0.9),
)
def test_no_fewer_cases_than_the_bound_reach_a_value(observed, expected, mean):
    first, second = np.array([expected]), np.array([expected * mean])
    value = quick_log_factors(np.array([observed]), first, second)
    assert least_cases(first, second, value)[0] <= observed + 1e-9


def test_one_margin_is_integrated_out():
    """Against numerical integration over the factor of each model, hazard profiled."""
    codes, shape = np.array([0, 1]), 256.0
    known, exposed = np.array([[30.0, 20.0]]), np.array([[5.0, 2.0]])
    cases = np.array([[31.0, 19.0]])
    people = population([1, 1], [-1, -1], model=[0, 1])
    margins = RiskGroups.of(people, ("model",)).margins
    start = Offsets(np.ones(2), (np.ones(2),), (shape,), 0.0)
    fit = fit_with_level(margins, start, known, exposed, cases, np.array([[1.0, 3.0]]))

    def by_hand(ratio):
        base = known[0] + (ratio - 1.0) * exposed[0]
        scale = cases.sum() / (fit.weight[0, 1 if ratio > 1 else 0] * base).sum()
        total = 0.0
        for model in codes:

            def integrand(u, model=model):
                prior = shape * np.log(shape) - gammaln(shape) + (shape - 1) * np.log(u) - shape * u
                mean = scale * u * base[model]
                return np.exp(prior + cases[0, model] * np.log(mean) - mean - 20.0)

            total += np.log(quad(integrand, 0.3, 3.0, points=[1.0], epsabs=0)[0]) + 20.0
        return total

    def ours(place, ratio):
        base = known[0] + (ratio - 1.0) * exposed[0]
        mass = (fit.weight[0, place] * base).sum()
        # The cases of the exposed fall on the base in by_hand: take their share out.
        return (
            fit.log_share[0, place] - cases.sum() * np.log(mass) + (cases[0] * np.log(base)).sum()
        )

    assert ours(1, 3.0) - ours(0, 1.0) == pytest.approx(by_hand(3.0) - by_hand(1.0), abs=0.02)


def test_a_level_on_every_hull_says_nothing():
    people = population([5] * 4, [1, 2, -1, -1])
    tables = risk_sets(people, exposure([[range(4)]], 4), ()).tables(np.array([0]))
    assert log_factors(log_likelihoods(baseline(people, ()), tables, RATIOS)) == pytest.approx(
        [0.0]
    )


def test_rivals_cost_four_fifths_of_their_log():
    assert score(np.array([3.0]), np.array([100])) == pytest.approx([3.0 - 0.8 * np.log(100)])

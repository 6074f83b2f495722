"""Rate ratios against conditional logistic regression and against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from statsmodels.discrete.conditional_models import ConditionalLogit

from tests.analysis.matched.hulls import baseline, exposure, population, risk_sets
from tracegraph.analysis.confounding.folding import given, set_aside
from tracegraph.analysis.matched.effects import effects
from tracegraph.stats.poisson_binomial import CaseCounts


def risk_set_rows(people, *columns):
    """One stratum for each case: the case and all hulls at risk with it."""
    outcome, rows, stratum = [], [], []
    for number, case in enumerate(people.cases):
        for hull in np.flatnonzero(people.exit_month >= people.exit_month[case]):
            outcome.append(float(hull == case))
            rows.append([float(column[hull]) for column in columns])
            stratum.append(number)
    return np.array(outcome), np.array(rows), np.array(stratum)


def one_to_many(seed, hulls=90):
    """Every case at a month of its own, so that no two share a risk set."""
    rng = np.random.default_rng(seed)
    month = np.full(hulls, -1)
    month[:20] = rng.permutation(np.arange(1, 21))
    carried = rng.random((2, hulls)) < 0.25
    carried[:, :20] |= rng.random((2, 20)) < 0.35
    people = population(np.full(hulls, 30), month)
    return people, exposure([[np.flatnonzero(carried[0])], [np.flatnonzero(carried[1])]], hulls)


@pytest.mark.parametrize("seed", range(5))
def test_ratio_is_that_of_conditional_logistic_regression(seed):
    people, matrix = one_to_many(seed)
    found = effects(baseline(people, ()), risk_sets(people, matrix, ()).tables(np.array([0])))
    fitted = regression(people, matrix.carries(0))
    assert np.log(found.ratios.ratio[0]) == pytest.approx(fitted[0], abs=1e-4)


def regression(people, *columns, within=None):
    outcome, rows, stratum = risk_set_rows(people, *columns)
    if within is not None:
        _, apart, _ = risk_set_rows(people, within)
        stratum = 2 * stratum + apart[:, 0].astype(int)
        kept = np.isin(stratum, stratum[outcome > 0])
        outcome, rows, stratum = outcome[kept], rows[kept], stratum[kept]
    fit = ConditionalLogit(outcome, rows, groups=stratum).fit(method="newton", disp=False)
    return fit.params


def test_one_to_one_sets_give_the_ratio_of_discordant_pairs():
    """Of 19 pairs, in 7 the case alone is exposed and in 3 the other hull alone."""
    pairs = [(1, 0)] * 7 + [(0, 1)] * 3 + [(1, 1)] * 4 + [(0, 0)] * 5
    chance = np.array([[(case + other) / 2 for case, other in pairs]])
    observed = sum(case for case, _ in pairs)
    ours = CaseCounts([observed], chance, np.ones((1, 19), int)).rate_ratios().ratio[0]
    assert ours == pytest.approx(7 / 3)
    fitted = ConditionalLogit(
        np.tile([1.0, 0.0], 19),
        np.array(pairs, float).ravel()[:, None],
        groups=np.repeat(np.arange(19), 2),
    ).fit(disp=False)
    assert np.exp(fitted.params[0]) == pytest.approx(ours, rel=1e-4)


@pytest.mark.parametrize("seed", range(3))
def test_one_level_given_another_is_regression_within_its_strata(seed):
    people, matrix = one_to_many(seed)
    found = given(people, matrix, (), 1, np.array([0]))
    fitted = regression(people, matrix.carries(0), within=matrix.carries(1))
    assert np.log(found.effects.ratios.ratio[0]) == pytest.approx(fitted[0], abs=1e-4)
    on_both = regression(people, matrix.carries(0), matrix.carries(1))
    assert fitted[0] == pytest.approx(on_both[0], abs=0.03)


def test_a_level_given_itself_is_exhausted():
    people, matrix = one_to_many(1)
    twice = exposure([[matrix.hulls_of(0)], [matrix.hulls_of(0)]], len(people))
    found = given(people, twice, (), 1, np.array([0]))
    assert abs(found.log_factor[0]) < 0.01


def test_limits_widen_where_the_weights_are_uncertain():
    rng = np.random.default_rng(4)
    model = np.repeat(np.arange(4), 150)
    mold = np.flatnonzero(model == 0)[::2]
    rate = np.where(np.isin(np.arange(600), mold), 0.2, 0.05)
    month = np.where(rng.random(600) < rate, rng.integers(1, 9, 600), -1)
    people = population(np.full(600, 12), month, model=model)
    matrix = exposure([[mold]], 600)
    found = effects(
        baseline(people, ("model",)), risk_sets(people, matrix, ("model",)).tables(np.array([0]))
    )
    assert found.low[0] < found.ratios.mid_p_low[0]
    assert found.high[0] > found.ratios.mid_p_high[0]
    assert found.low[0] < 4.0 < found.high[0]


def test_a_level_without_cases_has_an_upper_limit_only():
    people = population([9] * 6, [2, 5, -1, -1, -1, -1])
    tables = risk_sets(people, exposure([[[3, 4]]], 6), ()).tables(np.array([0]))
    found = effects(baseline(people, ()), tables)
    assert found.ratios.ratio[0] == 0.0
    assert found.low[0] == 0.0
    assert np.isfinite(found.high[0])


def test_set_aside_hulls_without_a_record_form_a_class_of_their_own():
    record = np.array([[2, 2, 1, 0]])
    people = set_aside(population([9] * 4, [2, -1, -1, -1]), exposure([[[0]]], 4, record), 0, "x")
    assert people.margins["x"].tolist() == [1, 0, 2, 0]
    assert people.free == {"x"}

from __future__ import annotations

from itertools import combinations, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.analysis.matched.hulls import baseline, chance_hulls, exposure, population, risk_sets
from tracegraph.analysis.matched.familywise import (
    NullScores,
    draw_cases,
    leaders,
    null_scores,
    price,
    seed_from,
)
from tracegraph.analysis.matched.scores import log_factors, log_likelihoods, rivals, score
from tracegraph.domain.errors import StoppedError
from tracegraph.domain.stopping import StopSign, heeding
from tracegraph.stats.bayes_factor import RATIOS

WEST = [[[0, 1, 2]], [[0, 1, 3]], [[0, 1, 2]], [[4, 5]]]
"""Eight hulls, claims on the first three: lots A, B, C (which always goes with A) and D."""


def searched(people, matrix):
    """Everything that the resampling needs, without margins."""
    sets = risk_sets(people, matrix, ())
    base = baseline(people, ())
    screen = sets.screen(base.weight)
    competing = rivals(screen, matrix.level_family, matrix.families)
    return sets, base, screen, competing


def observed_scores(sets, base, competing):
    levels = np.arange(sets.exposure.levels)
    factor = log_factors(log_likelihoods(base, sets.tables(levels), RATIOS))
    return score(factor, competing)


def test_westfall_and_youngs_small_table_by_full_enumeration():
    """Single-step values of the table worked out by enumeration: A, C 1/28, B 15/28."""
    people = population([9] * 8, [1, 1, 1] + [-1] * 5)
    sets, base, screen, competing = searched(people, exposure(WEST, 8))
    every = np.array(list(combinations(range(8), 3)))
    largest = leaders(sets, base, screen, price(competing), every)
    observed = observed_scores(sets, base, competing)
    share = [(largest >= s - 1e-9).mean() for s in observed]
    assert share[:3] == pytest.approx([2 / 56, 30 / 56, 2 / 56])


def test_drawn_resamples_tend_to_the_enumeration():
    people = population([9] * 8, [1, 1, 1] + [-1] * 5)
    sets, base, screen, competing = searched(people, exposure(WEST, 8))
    null = null_scores(sets, base, screen, competing, resamples=4000, seed=1)
    p = null.p_family(observed_scores(sets, base, competing))
    assert p[0] == p[2] == pytest.approx(1 / 28, abs=0.012)
    assert p[1] == pytest.approx(15 / 28, abs=0.03)


def test_unequal_follow_up_by_full_enumeration():
    """Twelve hulls, claims at three ages; every valid assignment is equally likely."""
    follow = [3, 3, 3, 6, 6, 6, 6, 9, 9, 9, 9, 9]
    month = [-1, 2, -1, -1, 5, -1, -1, 8, -1, -1, -1, -1]
    matrix = exposure([[[1, 4, 7], [0, 2, 3]], [[1, 4, 5, 6], [8, 9]]], 12)
    people = population(follow, month)
    sets, base, screen, competing = searched(people, matrix)
    valid = np.array(
        [
            hulls
            for hulls in permutations(range(12), 3)
            if all(follow[h] >= m for h, m in zip(hulls, (2, 5, 8), strict=True))
        ]
    )
    largest = leaders(sets, base, screen, price(competing), valid)
    observed = observed_scores(sets, base, competing)
    exact = NullScores(largest, np.zeros((len(largest), 0), np.int64))
    null = null_scores(sets, base, screen, competing, resamples=6000, seed=3)
    for s in observed[[0, 2]]:
        share = (exact.largest >= s - 1e-9).mean()
        assert null.p_family(np.array([s]))[0] == pytest.approx(share, abs=0.02)
    # Only the draw that repeats the claims of the first lot is as strong as it.
    assert (largest >= observed[0] - 1e-9).mean() < 0.02


@settings(max_examples=15)
@given(st.integers(0, 300))
def test_few_finalists_miss_no_leader_that_matters(seed):
    """The strongest of all levels is among those kept by the quick score, if it is strong."""
    people, matrix = chance_hulls(seed, hulls=80, missing=0.0)
    if len(people.cases) < 4:
        return
    sets, base, screen, competing = searched(people, matrix)
    drawn = draw_cases(people, np.ones(80), 30, np.random.default_rng(seed))
    found = leaders(sets, base, screen, price(competing), drawn)
    levels = np.arange(matrix.levels)
    for row, hulls in enumerate(drawn):
        tables = sets.drawn_tables(levels, np.tile(hulls, (len(levels), 1)))
        each = score(log_factors(log_likelihoods(base, tables, RATIOS)), competing)
        eligible = tables.observed >= 2
        best = each[eligible].max() if eligible.any() else -np.inf
        assert found[row] <= best + 1e-9 or not eligible.any()
        if best > 1.0:
            assert found[row] == pytest.approx(best, abs=1e-9)


def test_where_few_hulls_have_nearly_all_the_weight_the_draw_ends_and_keeps_its_law():
    """Five cases among five heavy hulls and three light ones, which join one by one."""
    people = population([9] * 6 + [4] * 2, [2, 5, 5, -1, -1, -1, 3, 4])
    weight = np.array([1e6, 1e6, 2e6, 1e6, 1.0, 1.0, 3e6, 1.0])
    drawn = draw_cases(people, weight, 4000, np.random.default_rng(1))
    assert all(len(set(row)) == 5 for row in drawn.tolist())
    assert not np.isin(drawn[:, 3:], [6, 7]).any()
    # The last case falls on one of the four heavy hulls of its month, by weight.
    share = np.bincount(drawn[:, 4], minlength=8)[[0, 1, 2, 3]] / 4000
    np.testing.assert_allclose(share, [0.2, 0.2, 0.4, 0.2], atol=0.03)
    # The one before it on another of them: 0.4 / 0.8 of a fifth thrice, and so on.
    share = np.bincount(drawn[:, 3], minlength=8)[[0, 1, 2, 3]] / 4000
    other = 0.2 * (0.2 / 0.8) * 2 + 0.4 * 0.2 / 0.6
    np.testing.assert_allclose(share, [other, other, 3 * 0.2 * 0.5, other], atol=0.03)
    # With all five heavy hulls in reach, hardly ever is a light one drawn.
    assert (np.sort(drawn, axis=1) == [0, 1, 2, 3, 6]).all(axis=1).mean() > 0.99


def test_same_seed_same_scores_and_other_seed_others():
    people, matrix = chance_hulls(2, hulls=100)
    sets, base, screen, competing = searched(people, matrix)
    one, again, other = (
        null_scores(sets, base, screen, competing, resamples=50, seed=seed).largest
        for seed in (1, 1, 2)
    )
    np.testing.assert_array_equal(one, again)
    assert (one != other).any()


def test_the_seed_depends_on_the_words_and_their_borders():
    assert seed_from("v1", "abc") == seed_from("v1", "abc")
    assert len({seed_from("v1", "abc"), seed_from("v1a", "bc"), seed_from("v2", "abc")}) == 3


def test_threshold_is_passed_with_the_asked_chance():
    null = NullScores(np.arange(100.0), np.zeros((100, 0), np.int64))
    assert null.threshold(0.05) == 95.0
    assert null.p_family(np.array([99.5]))[0] == pytest.approx(1 / 101)


def test_resampling_ends_when_nobody_waits_for_it() -> None:
    sets, base, screen, competing = searched(
        population([9] * 8, [3, 4, 5] + [-1] * 5), exposure(WEST, 8)
    )
    sign = StopSign()
    with heeding(sign):
        assert len(null_scores(sets, base, screen, competing, resamples=3, seed=1).largest) == 3
        sign.raise_()
        with pytest.raises(StoppedError):
            null_scores(sets, base, screen, competing, resamples=3, seed=1)

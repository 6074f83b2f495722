from __future__ import annotations

import numpy as np
import pytest

from tests.analysis.matched.hulls import exposure, population
from tracegraph.analysis.confounding.pair_chance import chance_of_pairs, leading_pairs
from tracegraph.analysis.confounding.pairs import SMALLEST_OBSERVED, interactions
from tracegraph.analysis.matched.search import search

HULLS = 2000


def searched(rate, seed=3):
    rng = np.random.default_rng(seed)
    lot, crew = np.arange(HULLS) // 200, rng.integers(0, 4, HULLS)
    month = np.where(rng.random(HULLS) < rate(lot, crew), rng.integers(1, 9, HULLS), -1)
    people = population(np.full(HULLS, 12), month)
    families = [
        [np.flatnonzero(codes == level) for level in range(codes.max() + 1)]
        for codes in (lot, crew, rng.integers(0, 5, HULLS))
    ]
    return search(people, exposure(families, HULLS), margins=(), resamples=9, seed=1)


def test_a_lot_that_fails_in_one_crews_hands_is_the_first_pair():
    found = searched(lambda lot, crew: np.where((lot == 3) & (crew == 1), 0.4, 0.02))
    pair = interactions(found, ())[0]
    assert {pair.first, pair.second} == {3, 10 + 1}
    assert pair.beyond.ratio > 3.0
    assert pair.excess > 3.0
    assert pair.cells.hulls.sum() == HULLS
    assert pair.beyond.observed == pair.cells.observed[0]


def test_two_bad_halves_that_only_multiply_are_no_pair():
    found = searched(
        lambda lot, crew: 0.02 * np.where(lot == 3, 4.0, 1.0) * np.where(crew == 1, 3.0, 1.0)
    )
    assert all({pair.first, pair.second} != {3, 11} for pair in interactions(found, ()))


def test_a_pair_pays_for_both_halves_and_for_the_pairs_of_families():
    found = searched(lambda lot, crew: np.where((lot == 3) & (crew == 1), 0.4, 0.02))
    pair = interactions(found, ())[0]
    both = np.intersect1d(*(found.sets.exposure.hulls_of(half) for half in (3, 11)))
    cell = exposure([[both]], HULLS)
    alone = search(found.sets.population, cell, margins=(), resamples=9, seed=1).log_factor[0]
    # Ten lots, four crews, three families.
    assert pair.score == pytest.approx(alone - 0.8 * np.log(10 * 4) - np.log(1.0))
    assert found.score[0] < pair.score


def test_pairs_keep_to_the_limits():
    found = searched(lambda lot, crew: np.full(HULLS, 0.03))
    pairs = interactions(found, ())
    assert 0 < len(pairs) <= 20
    families = found.sets.exposure.level_family
    for pair in pairs:
        assert pair.beyond.observed >= SMALLEST_OBSERVED
        assert families[pair.first] != families[pair.second]
    scores = [pair.score for pair in pairs]
    assert scores == sorted(scores, reverse=True)


def test_excess_by_hand():
    found = searched(lambda lot, crew: np.where((lot == 3) & (crew == 1), 0.4, 0.02))
    pair = interactions(found, ())[0]
    rate = pair.cells.observed / pair.cells.expected
    relative = rate / rate[3]
    assert pair.excess == pytest.approx(relative[0] - relative[1] - relative[2] + 1.0)


def test_a_pair_is_paid_for_by_repeating_the_search_for_pairs():
    found = searched(lambda lot, crew: np.where((lot == 3) & (crew == 1), 0.4, 0.02))
    pairs = interactions(found, ())
    cases = found.sets.population.cases
    by_month = cases[np.argsort(found.sets.population.sets_joined[cases], kind="stable")]
    # On the cases that came, the repeated search finds the pair that was found.
    again = leading_pairs(found, by_month[None, :], np.array([-np.inf]))
    assert again[0] == pytest.approx(pairs[0].score, abs=0.05)
    p = chance_of_pairs(found, pairs)
    assert p[0] == 0.1
    assert (p >= found.null.p_family(np.array([pair.score for pair in pairs]))).all()
    assert len(chance_of_pairs(found, [])) == 0


def test_pairs_of_too_many_records_have_no_chance(monkeypatch):
    found = searched(lambda lot, crew: np.where((lot == 3) & (crew == 1), 0.4, 0.02))
    monkeypatch.setattr("tracegraph.analysis.confounding.pair_chance.MOST_ROWS", 10)
    assert np.isnan(chance_of_pairs(found, interactions(found, ()))).all()


def test_pairs_by_chance_are_seldom_named():
    """Without any cause the strongest pair is below 0.1 by chance in about 1 plant of 10."""
    named = 0
    for seed in range(8):
        found = searched(lambda lot, crew: np.full(HULLS, 0.03), seed=seed)
        p = chance_of_pairs(found, interactions(found, ()))
        named += bool(len(p)) and p.min() <= 0.1
    assert named <= 3

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.analysis.matched.hulls import baseline, exposure, population, risk_sets
from tracegraph.analysis.confounding.windows import (
    STARTS_PER_WIDTH,
    WIDTHS_WEEKS,
    best_windows,
    own_stretch,
    stretch_factor,
    window_matrix,
)
from tracegraph.analysis.matched.scores import log_factors, log_likelihoods
from tracegraph.stats.bayes_factor import RATIOS


@given(st.lists(st.floats(0.0, 400.0), min_size=1, max_size=30))
def test_each_window_holds_the_hulls_built_in_it(days):
    day = np.array([*days, np.nan])
    matrix, first, last = window_matrix(day, np.ones(len(day), bool))
    widths = set(np.round((last - first) / 7.0, 6))
    assert widths <= set(map(float, WIDTHS_WEEKS))
    for level in range(0, matrix.levels, 7):
        inside = np.flatnonzero((day >= first[level]) & (day < last[level]))
        assert matrix.hulls_of(level).tolist() == inside.tolist()
    # Hulls without a day are unknown, not outside.
    assert not matrix.known(0)[-1]


def test_every_day_lies_in_four_windows_of_each_width():
    day = np.arange(0.0, 500.0, 1.0)
    matrix, _, _ = window_matrix(day, np.ones(500, bool))
    assert len(matrix.levels_of(np.array([250]))) == STARTS_PER_WIDTH * len(WIDTHS_WEEKS)


def plant(bad):
    rng = np.random.default_rng(3)
    month = np.where(rng.random(600) < np.where(bad, 0.5, 0.03), rng.integers(1, 9, 600), -1)
    return population(np.full(600, 12), month)


def test_a_spell_is_found_where_it_was():
    day = np.arange(600.0)
    people = plant((day >= 280) & (day < 336))
    found = best_windows(
        risk_sets(people, exposure([[[0]]], 600), ()),
        baseline(people, ()),
        (day,),
        np.ones(600, bool),
    )
    assert found.first_day[0] == pytest.approx(280, abs=15)
    assert found.last_day[0] == pytest.approx(336, abs=15)
    assert found.best == found.log_factor.max()


def test_a_lot_used_without_a_break_is_no_better_than_its_window():
    day = np.arange(600.0)
    bad = (day >= 294) & (day < 336)
    people = plant(bad)
    matrix = exposure([[np.flatnonzero(bad)]], 600)
    sets, base = risk_sets(people, matrix, ()), baseline(people, ())
    windows = best_windows(sets, base, (day,), np.ones(600, bool))
    factor = log_factors(log_likelihoods(base, sets.tables(np.array([0])), RATIOS))
    assert factor[0] - windows.best < 1.0
    stretch = own_stretch(bad, np.ones(600, bool), day)
    itself = stretch_factor(sets, base, (stretch, None), (day, day), np.ones(600, bool))
    assert itself == pytest.approx(factor[0])
    assert (stretch.first_day, stretch.last_day) == (294.0, 335.0)
    assert stretch.jaccard == 1.0


def test_a_mixed_lot_has_a_stretch_of_its_own_that_is_another_thing():
    day = np.arange(600.0)
    mixed = (day >= 200) & (day < 260) & (day % 2 == 0)
    stretch = own_stretch(mixed, np.ones(600, bool), day)
    assert stretch.jaccard == pytest.approx(0.5, abs=0.02)
    assert own_stretch(np.zeros(600, bool), np.ones(600, bool), day) is None
    people = plant(mixed)
    sets, base = (
        risk_sets(people, exposure([[np.flatnonzero(mixed)]], 600), ()),
        baseline(people, ()),
    )
    factor = log_factors(log_likelihoods(base, sets.tables(np.array([0])), RATIOS))
    assert factor[0] > stretch_factor(sets, base, (stretch,), (day,), np.ones(600, bool)) + 1.0


def test_the_better_of_two_clocks_is_taken():
    order = np.random.default_rng(1).permutation(600).astype(float)
    people = plant((order >= 200) & (order < 242))
    sets, base = risk_sets(people, exposure([[[0]]], 600), ()), baseline(people, ())
    both = best_windows(sets, base, (np.arange(600.0), order), np.ones(600, bool))
    assert both.clock[0] == 1
    assert both.tried > 1000

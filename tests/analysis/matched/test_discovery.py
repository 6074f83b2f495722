from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import poisson

from tracegraph.analysis.matched.discovery import discovery_rates
from tracegraph.analysis.matched.risk import Screen


def screen(expected, exposed):
    expected = np.asarray(expected, float)
    zeros = np.zeros(len(expected), int)
    return Screen(zeros, np.asarray(exposed), expected, expected**2)


def rates(p, group, expected, exposed, cases=50):
    part = np.ones(len(expected), bool)
    return discovery_rates(np.asarray(p), np.asarray(group), screen(expected, exposed), part, cases)


def test_one_suspect_among_equal_levels_by_hand():
    """A hundred levels of mean 2: each reaches at most the Poisson tail below the p."""
    p = 1e-4
    tails = poisson.sf(np.arange(0, 50), 2.0)
    reach = tails[tails <= p].max()
    found = rates([p], [0], [2.0] * 100, [60] * 100)
    assert found[0] == pytest.approx(min(1.0, 100 * reach), rel=0.02)


def test_levels_that_could_never_be_named_cost_nothing():
    """A level on one hull with mean 0.9 reaches no small p."""
    alone = rates([1e-3], [0], [2.0] * 20, [60] * 20)
    with_thin = rates([1e-3], [0], [2.0] * 20 + [0.9] * 5000, [60] * 20 + [1] * 5000)
    assert with_thin[0] == pytest.approx(alone[0], rel=0.05)


def test_a_group_counts_once_and_pays_for_its_size():
    single = rates([1e-5, 0.2], [0, 1], [2.0] * 50, [60] * 50)
    aliased = rates([1e-5, 1e-5, 0.2], [0, 0, 1], [2.0] * 50, [60] * 50)
    assert aliased[0] == aliased[1]
    assert aliased[0] >= single[0]


def test_rates_rise_with_p_and_stay_within_one():
    p = np.geomspace(1e-8, 1.0, 30)
    found = rates(p, np.arange(30), np.geomspace(0.01, 5.0, 400), [60] * 400)
    assert (np.diff(found) >= 0).all()
    assert (found >= p - 1e-12).all()
    assert found.max() <= 1.0


def test_no_suspects_no_rates():
    assert not len(rates([], np.zeros(0, int), [1.0], [5]))

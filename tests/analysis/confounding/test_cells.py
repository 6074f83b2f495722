from __future__ import annotations

import numpy as np
import pytest

from tests.analysis.matched.hulls import chance_hulls, exposure, population, risk_sets
from tracegraph.analysis.confounding.cells import concurrent, count_cells, four_cells
from tracegraph.analysis.matched.population import COMPLETE, INCOMPLETE


def test_four_cells_by_hand():
    """One claim: each of the eight hulls expects an eighth of it."""
    people = population([9] * 8, [4] + [-1] * 7)
    sets = risk_sets(people, exposure([[[0, 1, 2]], [[0, 1, 3, 4]]], 8), ())
    cells = four_cells(sets, np.ones(1), 0, 1)
    assert cells.hulls.tolist() == [2, 1, 2, 3]
    assert cells.observed.tolist() == [1, 0, 0, 0]
    assert cells.expected == pytest.approx([2 / 8, 1 / 8, 2 / 8, 3 / 8])
    assert cells.ratio == pytest.approx([4.0, 0.0, 0.0, 0.0])


def test_hulls_of_which_one_answer_is_unknown_are_left_out():
    people = population([9] * 4, [4, -1, -1, -1])
    record = np.array([[COMPLETE] * 4, [COMPLETE, COMPLETE, INCOMPLETE, COMPLETE]])
    sets = risk_sets(people, exposure([[[0, 2]], [[0]]], 4, record), ())
    assert four_cells(sets, np.ones(1), 0, 1).hulls.sum() == 3


def test_observed_and_expected_have_the_same_sum():
    people, matrix = chance_hulls(9, hulls=200)
    sets = risk_sets(people, matrix)
    weight = np.linspace(0.5, 2.0, len(sets.groups.cases))
    half = np.arange(200) < 100
    found = count_cells(sets, weight, (half, ~half), np.ones(200, bool))
    assert found.observed.sum() == len(people.cases)
    assert found.expected.sum() == pytest.approx(len(people.cases))


def test_nothing_expected_has_no_ratio():
    people = population([9, 2], [4, -1])
    sets = risk_sets(people, exposure([[[1]], [[1]]], 2), ())
    assert np.isnan(four_cells(sets, np.ones(1), 0, 1).ratio[0])


def test_concurrent_hulls_are_those_built_while_the_level_was_in_use():
    people = population([9] * 6, [4] + [-1] * 5)
    sets = risk_sets(people, exposure([[[1, 3]]], 6), ())
    day = np.array([0.0, 1.0, 2.0, 3.0, 4.0, np.nan])
    found = concurrent(sets, np.ones(1), 0, day)
    assert found.hulls.tolist() == [2, 1, 2, 1]
    assert found.observed.tolist() == [0, 0, 1, 0]
    assert found.expected == pytest.approx(np.array([2, 1, 2, 1]) / 6)

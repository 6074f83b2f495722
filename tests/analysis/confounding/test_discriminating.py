from __future__ import annotations

import numpy as np
import pytest

from tests.analysis.matched.hulls import exposure, population, risk_sets
from tracegraph.analysis.confounding.discriminating import (
    discriminating_hulls,
    information,
    inspections_needed,
)
from tracegraph.analysis.matched.population import COMPLETE, INCOMPLETE


def test_information_is_kullback_leibler():
    assert information(0.5, 0.05) == pytest.approx(0.5 * np.log(10) + 0.5 * np.log(0.5 / 0.95))
    assert information(0.3, 0.3) == 0.0


def test_one_hull_is_the_least():
    assert inspections_needed(0.999, 0.001) == 1


@pytest.mark.parametrize("share", [0.0, 1.0, -0.1, 30])
def test_shares_that_are_none_are_refused(share):
    with pytest.raises(ValueError, match="between 0 and 1"):
        information(share, 0.1)


def test_hulls_of_one_suspect_only_with_what_each_expects():
    people = population([9, 9, 9, 9, 2, -1], [4, -1, -1, -1, -1, -1])
    sets = risk_sets(people, exposure([[[0, 1, 5]], [[0, 2, 4]]], 6), ())
    found = discriminating_hulls(sets, np.ones(1), 0, 1, (8.0, 2.0))
    assert found.hull.tolist() == [1, 5, 2, 4]
    assert found.carries_first.tolist() == [True, True, False, False]
    assert found.months.tolist() == [9, -1, 9, 2]
    # Hull 1 was in the only risk set, of four hulls: 1/4 claim as usual, 8 times as cause.
    assert found.expected_if_first == pytest.approx([2.0, 0.0, 0.25, 0.0])
    assert found.expected_if_second == pytest.approx([0.25, 0.0, 0.5, 0.0])
    assert not found.none


def test_a_hull_whose_other_answer_is_unknown_does_not_discriminate():
    people = population([9] * 3, [4, -1, -1])
    record = np.array([[COMPLETE] * 3, [COMPLETE, INCOMPLETE, COMPLETE]])
    sets = risk_sets(people, exposure([[[0, 1]], [[0]]], 3, record), ())
    assert discriminating_hulls(sets, np.ones(1), 0, 1, (5.0, 5.0)).none

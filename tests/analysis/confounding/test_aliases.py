from __future__ import annotations

import numpy as np

from tests.analysis.matched.hulls import exposure, population, risk_sets
from tracegraph.analysis.confounding.aliases import alias_groups


def grouped(families, hulls=100, month=None):
    people = population([9] * hulls, [1, 2, 3] + [-1] * (hulls - 3) if month is None else month)
    matrix = exposure(families, hulls)
    sets = risk_sets(people, matrix, ())
    levels = np.arange(matrix.levels)
    tables = sets.tables(levels)
    return alias_groups(sets, levels, tables.chance(np.ones(1)), tables.cases)


def test_jaccard_by_hand():
    found = grouped([[range(0, 10)], [range(5, 20)]])
    assert found.shared.tolist() == [[10, 5], [5, 15]]
    assert found.jaccard[0, 1] == 5 / 20
    assert found.overlapping(0).tolist() == [1]
    assert found.members(0).tolist() == [0]


def test_a_lot_and_a_mold_on_the_same_hulls_are_one_group():
    found = grouped([[range(10, 30)], [range(10, 30)], [range(50, 60)]])
    assert found.group.tolist() == [0, 0, 1]


def test_any_two_of_a_group_are_near_so_that_chains_do_not_grow():
    """Each is near the next, the first and the last are not."""
    sets = [[range(start, start + 100)] for start in range(0, 25, 4)]
    found = grouped(sets, hulls=200, month=[-1] * 199 + [1])
    for one in range(len(sets)):
        for other in found.members(one):
            assert found.jaccard[one, other] >= 0.9
    assert len(set(found.group.tolist())) > 1


def test_same_cases_and_nearly_equal_chances_are_near_whatever_the_hulls():
    """Two lots share both cases; of eleven further hulls of each, none is shared."""
    one, other = [0, 1, *range(10, 21)], [0, 1, *range(30, 41)]
    found = grouped([[one], [other]])
    assert found.jaccard[0, 1] < 0.1
    assert found.group.tolist() == [0, 0]


def test_a_single_level_is_a_group():
    assert grouped([[range(5)]]).group.tolist() == [0]

from __future__ import annotations

import numpy as np
import pytest

from tests.analysis.matched.hulls import exposure, population
from tracegraph.analysis.confounding.parents import (
    BOTH,
    CHILD,
    PARENT,
    UNDECIDED,
    children,
    nesting,
)

HULLS = 1200
SUPPLIER = np.arange(HULLS) % 3 == 0
LOT = SUPPLIER & (np.arange(HULLS) // 120 == 4)


def verdict(rate, seed=1, chosen_from=1):
    rng = np.random.default_rng(seed)
    month = np.where(rng.random(HULLS) < rate, rng.integers(1, 9, HULLS), -1)
    people = population(np.full(HULLS, 12), month)
    matrix = exposure([[np.flatnonzero(SUPPLIER)], [np.flatnonzero(LOT)]], HULLS)
    return nesting(people, matrix, (), 0, 1, chosen_from=chosen_from)


def test_a_bad_lot_of_a_good_supplier_is_the_child():
    found = verdict(np.where(LOT, 0.5, 0.04))
    assert found.verdict == CHILD
    assert found.rest_observed <= 25
    assert found.rest_high < 2.5


def test_a_bad_supplier_is_the_parent():
    found = verdict(np.where(SUPPLIER, 0.15, 0.04))
    assert found.verdict == PARENT
    assert found.rest_observed > found.rest_expected


def test_a_bad_supplier_with_a_worse_lot_is_both():
    assert verdict(np.where(LOT, 0.7, np.where(SUPPLIER, 0.15, 0.04))).verdict == BOTH


def test_few_claims_decide_nothing():
    assert verdict(np.where(LOT, 0.05, 0.002)).verdict == UNDECIDED


def test_the_best_of_many_children_pays_for_the_choice():
    one = verdict(np.where(SUPPLIER, 0.15, 0.04), chosen_from=1)
    many = verdict(np.where(SUPPLIER, 0.15, 0.04), chosen_from=10)
    assert many.child_p == pytest.approx(min(1.0, 10 * one.child_p))


def test_children_lie_inside():
    matrix = exposure([[range(20)], [range(5), range(15, 25), range(20)]], 30)
    assert children(matrix, 0, 1).tolist() == [1]

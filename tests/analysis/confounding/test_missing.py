from __future__ import annotations

import numpy as np
import pytest

from tests.analysis.matched.hulls import exposure, population
from tracegraph.analysis.confounding.missing import missing_records
from tracegraph.analysis.matched.population import COMPLETE, DOES_NOT_APPLY, INCOMPLETE


def yard(known_cases, unknown_cases, unexposed_cases=2):
    """Sixty hulls: 20 with the lot, 20 without, 20 unknown; all claims at one month."""
    month = np.full(62, -1)
    month[:known_cases] = 1
    month[20 : 20 + unexposed_cases] = 1
    month[40 : 40 + unknown_cases] = 1
    record = np.full(62, COMPLETE)
    record[40:60] = INCOMPLETE
    record[60:] = DOES_NOT_APPLY
    return population(np.full(62, 9), month), exposure([[range(20)]], 62, record[None, :])


def test_complete_records_need_no_bounds():
    people = population([9] * 4, [1, -1, -1, -1])
    assert missing_records(people, exposure([[[0]]], 4), (), 0) is None


def test_shares_by_hand():
    people, matrix = yard(known_cases=6, unknown_cases=4)
    found = missing_records(people, matrix, (), 0)
    assert (found.unknown_hulls, found.unknown_cases) == (20, 4)
    assert found.known_share_cases == pytest.approx(8 / 12)
    assert found.known_share == pytest.approx(40 / 60)
    assert not found.differential


def test_the_lowest_bound_takes_every_unknown_for_unexposed():
    people, matrix = yard(known_cases=8, unknown_cases=2)
    found = missing_records(people, matrix, (), 0)
    # 8 of 12 cases among 20 of 60 hulls: odds of 8 to 4 against 20 to 40.
    assert found.lowest_ratio == pytest.approx((8 / 4) / (20 / 40))
    assert found.holds
    # 2 of the unknown carried it, and they are cases: 10 to 2 against 22 to 38.
    assert found.highest_ratio == pytest.approx((10 / 2) / (22 / 38))


def test_a_suspect_that_falls_with_the_missing_records_is_told():
    people, matrix = yard(known_cases=6, unknown_cases=12, unexposed_cases=1)
    found = missing_records(people, matrix, (), 0)
    assert found.differential
    assert found.known_share_cases < found.known_share
    assert not found.holds

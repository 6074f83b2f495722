from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.analysis.matched.hulls import chance_hulls, exposure, population
from tracegraph.analysis.matched.population import COMPLETE, INCOMPLETE, ExposureMatrix


def test_a_claim_after_the_follow_up_is_no_case_and_is_counted():
    people = population([6, 6, -1], [6, 7, 1])
    assert people.case.tolist() == [True, False, False]
    assert people.exit_month.tolist() == [6, 6, -1]
    assert people.late_cases == 1
    assert people.at_risk.tolist() == [True, True, False]


def test_a_hull_stays_in_the_risk_sets_up_to_its_own_claim_or_the_end():
    people = population([12, 12, 5, 8], [3, 9, -1, -1])
    assert people.months.tolist() == [3, 9]
    assert people.sets_joined.tolist() == [1, 2, 1, 1]
    assert people.sets_open.tolist() == [2, 2, 1, 1]


def test_among_takes_other_hulls_out_of_risk():
    people = population([12, 12, 5], [3, 9, -1]).among(np.array([True, False, True]))
    assert people.cases.tolist() == [0]
    assert people.at_risk.tolist() == [True, False, True]


@given(st.integers(0, 200), st.randoms())
def test_rows_in_any_order_and_repeated_make_the_same_matrix(seed, shuffler):
    _, matrix = chance_hulls(seed)
    place, hull = matrix.entries(np.arange(matrix.levels))
    rows = list(zip(place.tolist(), hull.tolist(), strict=True)) * 2
    shuffler.shuffle(rows)
    level, carried = np.array(rows, int).reshape(-1, 2).T
    again = ExposureMatrix.from_rows(level, carried, matrix.level_family, matrix.record)
    for name in ("level_start", "level_hulls", "hull_start", "hull_levels"):
        np.testing.assert_array_equal(getattr(again, name), getattr(matrix, name))


def test_both_ways_agree():
    _, matrix = chance_hulls(3)
    hulls = np.arange(matrix.record.shape[1])
    back = {
        (int(level), int(hull)) for hull in hulls for level in matrix.levels_of(np.array([hull]))
    }
    place, hull = matrix.entries(np.arange(matrix.levels))
    assert back == set(zip(place.tolist(), hull.tolist(), strict=True))
    assert matrix.exposed.sum() == len(hull)


def test_an_incomplete_record_is_known_for_the_levels_written_down_only():
    record = np.array([[COMPLETE, INCOMPLETE, INCOMPLETE]])
    matrix = exposure([[[0, 1], [0]]], 3, record)
    assert matrix.known(0).tolist() == [True, True, False]
    assert matrix.known(1).tolist() == [True, False, False]
    assert matrix.partly_recorded.tolist() == [True]


def test_a_level_of_a_family_that_does_not_apply_is_refused():
    with pytest.raises(ValueError, match="does not apply"):
        exposure([[[0]]], 1, np.array([[0]]))
    with pytest.raises(ValueError, match="ascending"):
        ExposureMatrix.from_rows([0], [0], [1, 0], [[2], [2]])

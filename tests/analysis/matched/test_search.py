"""The whole order against its definition, and what must not change it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.analysis.matched.hulls import chance_hulls, exposure, population
from tests.analysis.matched.test_risk import by_hand
from tracegraph.analysis.matched.population import COMPLETE, ExposureMatrix, Population
from tracegraph.analysis.matched.search import search
from tracegraph.stats.bayes_factor import RATIOS, WEIGHTS

CHEAP = {"resamples": 9, "seed": 4}


def scores(found):
    """Score of each level, by level number."""
    return dict(zip(found.sets.exposure.level_id[found.levels], found.score, strict=True))


def same(one, other, tolerance=1e-9):
    assert one.keys() == other.keys()
    for level, value in one.items():
        assert other[level] == pytest.approx(value, abs=tolerance)


@given(st.integers(0, 300))
def test_twelve_hulls_by_enumeration(seed):
    people, matrix = chance_hulls(seed, hulls=12, families=2, levels=3)
    if not len(people.cases):
        return
    found = search(people, matrix, margins=(), **CHEAP)
    at_risk = people.at_risk
    wanted = {}
    for level in range(matrix.levels):
        observed, chances, _ = by_hand(people, matrix, np.ones(12), level)
        if observed < 2:
            continue
        mates = np.flatnonzero(matrix.level_family == matrix.level_family[level])
        thick = sum((matrix.carries(int(m)) & at_risk).sum() >= 2 for m in mates)
        likelihood = [ratio**observed / np.prod(1.0 + chances * (ratio - 1.0)) for ratio in RATIOS]
        wanted[level] = np.log(WEIGHTS @ likelihood) - 0.8 * np.log(thick)
    same(wanted, scores(found))
    ordered = found.score
    assert (np.diff(ordered) <= 1e-6).all()


@settings(max_examples=20)
@given(st.integers(0, 300), st.integers(0, 2**31))
def test_order_of_hulls_does_not_matter(seed, shuffle):
    people, matrix = chance_hulls(seed)
    order = np.random.default_rng(shuffle).permutation(len(people))
    back = np.argsort(order)
    place, hull = matrix.entries(np.arange(matrix.levels))
    moved = ExposureMatrix.from_rows(
        place, back[hull], matrix.level_family, matrix.record[:, order]
    )
    shuffled = Population(
        people.exit_month[order],
        people.case[order],
        people.follow_months[order],
        {name: codes[order] for name, codes in people.margins.items()},
        people.built_day[order],
    )
    same(scores(search(people, matrix, **CHEAP)), scores(search(shuffled, moved, **CHEAP)), 1e-7)


@settings(max_examples=20)
@given(st.integers(0, 300))
def test_names_and_repeated_rows_do_not_matter(seed):
    people, matrix = chance_hulls(seed)
    place, hull = matrix.entries(np.arange(matrix.levels))
    # Levels of each family in reverse, every row twice.
    turned = np.concatenate(
        [np.flatnonzero(matrix.level_family == f)[::-1] for f in range(matrix.families)]
    )
    renamed = ExposureMatrix.from_rows(
        np.tile(np.argsort(turned)[place], 2),
        np.tile(hull, 2),
        matrix.level_family,
        matrix.record,
        level_id=turned,
    )
    same(scores(search(people, matrix, **CHEAP)), scores(search(people, renamed, **CHEAP)))


@settings(max_examples=20)
@given(st.integers(0, 300))
def test_a_level_that_nobody_carries_changes_nothing(seed):
    people, matrix = chance_hulls(seed)
    place, hull = matrix.entries(np.arange(matrix.levels))
    more = ExposureMatrix.from_rows(
        place, hull, np.append(matrix.level_family, matrix.families - 1), matrix.record
    )
    one, other = search(people, matrix, **CHEAP), search(people, more, **CHEAP)
    same(scores(one), scores(other))
    np.testing.assert_allclose(one.null.largest, other.null.largest)


@settings(max_examples=20)
@given(st.integers(0, 300), st.integers(1, 30))
def test_time_shifted_by_whole_months_changes_nothing(seed, months):
    people, matrix = chance_hulls(seed)
    later = replace(
        people,
        exit_month=np.where(people.exit_month >= 0, people.exit_month + months, -1),
        follow_months=np.where(people.follow_months >= 0, people.follow_months + months, -1),
    )
    one, other = search(people, matrix, **CHEAP), search(later, matrix, **CHEAP)
    same(scores(one), scores(other))
    np.testing.assert_allclose(one.null.largest, other.null.largest)


def test_ties_go_to_more_cases_then_fewer_hulls_then_number():
    people = population([9] * 12, [1, 2, 3, 4] + [-1] * 8)
    twins = [[0, 1, 5], [2, 3, 6]]
    found = search(people, exposure([[twins[0]], [twins[1]]], 12), margins=(), **CHEAP)
    assert abs(found.score[0] - found.score[1]) < 1.0
    same_level = search(people, exposure([[twins[0]], [twins[0]]], 12), margins=(), **CHEAP)
    assert same_level.levels.tolist() == [0, 1]


def test_a_level_without_two_cases_is_no_suspect():
    people = population([9] * 6, [1, 2, -1, -1, -1, -1])
    found = search(people, exposure([[[0, 3], [1, 4]]], 6), margins=(), **CHEAP)
    assert not len(found.levels)


def test_no_case_at_all_gives_an_empty_order():
    people = population([9] * 4, [-1] * 4, model=[0, 0, 1, 1], build_period=[0, 1, 0, 1])
    found = search(people, exposure([[[0, 1]]], 4), **CHEAP)
    assert not len(found.levels)
    assert np.isneginf(found.null.largest).all()


def test_a_missing_record_is_not_an_unexposed_one():
    """Ten hulls carry the lot, ten do not, twenty records are lost, one of them a case's."""
    month = [1, 2, 3] + [-1] * 17 + [4] + [-1] * 19
    people = population([9] * 40, month)
    record = np.where(np.arange(40) < 20, COMPLETE, 1)[None, :]
    matrix = exposure([[range(10), range(10, 20)]], 40, record)
    found = search(people, matrix, margins=(), **CHEAP)
    assert found.screen.expected[0] == pytest.approx(10 / 20 + 9 / 19 + 8 / 18)

"""Expected cases against the definition, hull by hull and case by case."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.analysis.matched.hulls import chance_hulls, exposure, population, risk_sets
from tracegraph.analysis.matched.familywise import draw_cases
from tracegraph.analysis.matched.population import COMPLETE, INCOMPLETE


def by_hand(people, matrix, weight, level):
    """Observed, chances and months of the cases of which the answer is known."""
    known, carried = matrix.known(level), matrix.carries(level)
    chances, months, observed = [], [], 0
    for case in people.cases:
        if not known[case]:
            continue
        at_risk = known & (people.exit_month >= people.exit_month[case])
        chances.append((weight * (at_risk & carried)).sum() / (weight * at_risk).sum())
        months.append(int(people.exit_month[case]))
        observed += int(carried[case])
    return observed, np.array(chances), months


@given(st.integers(0, 400))
def test_screen_is_the_definition(seed):
    people, matrix = chance_hulls(seed, hulls=12)
    sets = risk_sets(people, matrix)
    weight = np.random.default_rng(seed).uniform(0.2, 3.0, len(sets.groups.cases))
    screen = sets.screen(weight)
    for level in range(matrix.levels):
        observed, chances, _ = by_hand(people, matrix, weight[sets.groups.group], level)
        assert screen.observed[level] == observed
        assert screen.expected[level] == pytest.approx(chances.sum(), abs=1e-12)
        assert screen.second[level] == pytest.approx((chances**2).sum(), abs=1e-12)
        assert screen.exposed[level] == (matrix.carries(level) & people.at_risk).sum()


@given(st.integers(0, 400))
def test_tables_are_the_definition(seed):
    people, matrix = chance_hulls(seed, hulls=40)
    sets = risk_sets(people, matrix)
    weight = np.random.default_rng(seed).uniform(0.2, 3.0, len(sets.groups.cases))
    tables = sets.tables(np.arange(matrix.levels)[::-1])
    chance = tables.chance(weight)
    for row, level in enumerate(tables.levels):
        observed, chances, months = by_hand(people, matrix, weight[sets.groups.group], level)
        assert tables.observed[row] == observed
        spread = np.repeat(chance[row], tables.cases[row].astype(int))
        np.testing.assert_allclose(
            spread, [c for _, c in sorted(zip(months, chances, strict=True))]
        )
        assert tables.cases_of_group[row].sum() == len(chances)


def test_families_that_take_no_part_are_zero():
    people, matrix = chance_hulls(1)
    sets = risk_sets(people, matrix)
    sets.families[0] = False
    screen = sets.screen(np.ones(len(sets.groups.cases)))
    first = matrix.level_family == 0
    assert not screen.observed[first].any()
    assert not screen.expected[first].any()
    assert screen.observed[~first].any()


def test_drawing_the_true_cases_gives_the_true_tables():
    people, matrix = chance_hulls(5, hulls=80)
    sets = risk_sets(people, matrix)
    levels = np.arange(matrix.levels)
    cases = people.cases[np.argsort(people.exit_month[people.cases], kind="stable")]
    drawn = sets.drawn_tables(levels, np.tile(cases, (len(levels), 1)))
    true = sets.tables(levels)
    for name in ("observed", "exposed", "cases", "cases_of_group"):
        np.testing.assert_allclose(getattr(drawn, name), getattr(true, name))


def test_a_drawn_case_leaves_and_a_true_one_stays():
    people = population([9, 9, 9, 9], [2, 5, -1, -1])
    matrix = exposure([[[0, 2]]], 4)
    sets = risk_sets(people, matrix, ())
    drawn = sets.drawn_tables(np.array([0]), np.array([[2, 3]]))
    assert drawn.observed.tolist() == [1]
    # Hull 2 was drawn at month 2 and is gone at month 5; hull 0 is there both times.
    assert drawn.exposed[0, 0].tolist() == [2.0, 1.0]


def test_hulls_of_unknown_record_take_no_part():
    people = population([9] * 4, [3, -1, -1, -1])
    record = np.array([[COMPLETE, COMPLETE, INCOMPLETE, INCOMPLETE]])
    sets = risk_sets(people, exposure([[[0]]], 4, record), ())
    assert sets.screen(np.ones(1)).expected.tolist() == [0.5]


@given(st.integers(0, 50))
def test_draws_come_from_the_risk_sets_without_repeats(seed):
    people, _ = chance_hulls(seed, hulls=30)
    if not len(people.cases):
        return
    drawn = draw_cases(people, np.ones(30), 20, np.random.default_rng(seed))
    months = np.sort(people.exit_month[people.cases])
    assert (people.follow_months[drawn] >= months).all()
    assert all(len(set(row)) == len(row) for row in drawn.tolist())


def test_all_assignments_are_equally_likely():
    people = population([4, 4, 9, 9, 9], [2, -1, 6, -1, -1])
    drawn = draw_cases(people, np.ones(5), 12_000, np.random.default_rng(1))
    found, counts = np.unique(drawn, axis=0, return_counts=True)
    # The late case is one of three hulls; the early one any other of five: 3 x 4 ways.
    assert len(found) == 12
    assert counts.min() > 880
    assert counts.max() < 1120

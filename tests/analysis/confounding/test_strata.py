"""Berkeley admissions 1973 (Bickel, Hammel and O'Connell, Science 187:398-404, 1975)."""

from __future__ import annotations

import numpy as np
import pytest

from tests.analysis.matched.hulls import exposure, population
from tracegraph.analysis.confounding.folding import scored
from tracegraph.analysis.confounding.strata import crude_and_matched, forest

# Admitted and rejected men, admitted and rejected women, departments A to F.
ADMISSIONS = [
    (512, 313, 89, 19),
    (353, 207, 17, 8),
    (120, 205, 202, 391),
    (138, 279, 131, 244),
    (53, 138, 94, 299),
    (22, 351, 24, 317),
]


@pytest.fixture(scope="module")
def berkeley():
    """Admission is the event, being a man the exposure, the department the stratum."""
    department, man, admitted = [], [], []
    for number, counts in enumerate(ADMISSIONS):
        for (is_man, is_in), count in zip(((1, 1), (1, 0), (0, 1), (0, 0)), counts, strict=True):
            department += [number] * count
            man += [is_man] * count
            admitted += [is_in] * count
    month = np.where(np.array(admitted) == 1, 1, -1)
    people = population(np.full(len(month), 1), month, model=department)
    return people, exposure([[np.flatnonzero(man)]], len(month))


def test_crude_table_misleads_and_the_strata_disagree(berkeley):
    people, matrix = berkeley
    found = crude_and_matched(people, matrix, 0, ("model",), rate_ratio=0.95, landmark=1)
    assert found.odds_ratio == pytest.approx(1.8406, abs=1e-3)
    assert found.common.odds_ratio[0] == pytest.approx(0.904696828258623)
    assert found.common.p_value[0] == pytest.approx(0.216923697056)
    assert found.same.breslow_day == pytest.approx(18.825513705237)
    assert found.same.tarone_p == pytest.approx(0.002071401398)
    assert found.misleading


def test_matched_ratio_turns_to_the_side_of_the_strata(berkeley):
    people, matrix = berkeley
    plain = scored(people, matrix, (), np.array([0])).effects.ratios.ratio[0]
    within = scored(people, matrix, ("model",), np.array([0])).effects.ratios.ratio[0]
    assert plain > 1.3
    assert within < 1.05


def test_forest_holds_each_stratum_against_itself(berkeley):
    people, matrix = berkeley
    found = forest(people, matrix, 0, "model")
    for number, (men_in, men_out, women_in, women_out) in enumerate(ADMISSIONS):
        everyone = men_in + men_out + women_in + women_out
        share = (men_in + men_out) / everyone
        assert found.observed[number] == men_in
        assert found.expected[number] == pytest.approx(share * (men_in + women_in))
        # One month: the sampling odds of exposure among cases against all at risk.
        odds = (men_in / women_in) / (share / (1 - share))
        assert found.ratio[number] == pytest.approx(odds, rel=1e-6)
        assert found.low[number] < odds < found.high[number]


def test_a_stratum_without_a_case_is_left_out():
    people = population([9, 9, 9, 9], [1, -1, -1, -1], model=[0, 0, 1, 1])
    found = forest(people, exposure([[[0, 2]]], 4), 0, "model")
    assert found.code.tolist() == [0]


def test_equal_ratios_do_not_mislead():
    people = population([9] * 8, [1, -1, -1, -1, 1, -1, -1, -1], model=[0] * 4 + [1] * 4)
    found = crude_and_matched(
        people, exposure([[[0, 1, 4, 5]]], 8), 0, ("model",), rate_ratio=2.0, landmark=9
    )
    assert not found.misleading  # the crude odds ratio is infinite: nothing to compare

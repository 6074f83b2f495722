"""A missing record is a factor of its own."""

from __future__ import annotations

import numpy as np
import pytest

from tests.analysis.matched.hulls import exposure, population
from tracegraph.analysis.confounding.gaps import Gap, gaps
from tracegraph.analysis.matched.population import COMPLETE, DOES_NOT_APPLY, INCOMPLETE
from tracegraph.analysis.matched.search import search

HULLS = 200


def found_in(cases: dict[int, int], *, other_family: bool = True) -> list[Gap]:
    """Two questions of 200 hulls, the first without a record for the last 40.

    ``cases`` says how many of hulls 0 to 159 and of hulls 160 to 199 are affected.
    """
    month = np.full(HULLS, -1)
    month[: cases[0]] = 1
    month[160 : 160 + cases[160]] = 1
    record = np.full((2, HULLS), COMPLETE)
    record[0, 160:] = INCOMPLETE
    if not other_family:
        record[1] = DOES_NOT_APPLY
    levels = [
        [range(0, 80), range(80, 160)],
        [range(0, 100), range(100, 200)] if other_family else [[], []],
    ]
    people = population(np.full(HULLS, 9), month)
    matrix = exposure(levels, HULLS, record)
    return gaps(search(people, matrix, margins=(), resamples=19), ())


def test_a_gap_with_most_of_the_claims_is_found_with_its_numbers() -> None:
    (gap,) = found_in({0: 6, 160: 12})
    assert (gap.family, gap.hulls, gap.claims.observed) == (0, 40, 12)
    # All claims at one month: 18 cases, a fifth of the hulls without a record.
    assert gap.claims.expected == pytest.approx(18 * 40 / 200)
    # 12 of 18 cases among 40 of 200 hulls: odds of 12 to 6 against 40 to 160.
    assert gap.claims.ratio == pytest.approx((12 / 6) / (40 / 160))
    assert gap.claims.low < gap.claims.ratio < gap.claims.high
    assert gap.p_adjusted < 0.001


def test_gaps_that_claims_fall_on_by_chance_are_no_finding() -> None:
    assert found_in({0: 16, 160: 4}) == []
    assert found_in({0: 20, 160: 0}) == []


def test_a_question_that_does_not_apply_has_no_gap() -> None:
    (gap,) = found_in({0: 6, 160: 12}, other_family=False)
    assert gap.family == 0

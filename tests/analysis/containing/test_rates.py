from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
import pytest

from tests.analysis.containing.fleets import FAMILY, fleet, spread
from tracegraph.analysis.cohort import draw_cohort
from tracegraph.analysis.containing.grading import grade
from tracegraph.analysis.containing.rates import RATIOS, ClaimRates, claim_rates
from tracegraph.analysis.naming import find_suspect
from tracegraph.domain.definition import CaseDefinition

BLISTER = CaseDefinition(symptoms=("blister",), reporting_days=0)


def rates_of(
    levels: Sequence[str | None], claims: dict[int, int], followed: Sequence[int] | int = 24
) -> ClaimRates | None:
    with fleet(levels, claims, followed=followed) as store, store.session() as session:
        draw_cohort(session, BLISTER)
        ids = pd.Index([n for (n,) in session.rows("SELECT hull_id FROM hull_index ORDER BY 1")])
        graded = grade(session, find_suspect(session, FAMILY, "A"), ids).hulls
        return claim_rates(session, graded)


def test_the_ratio_and_its_interval_come_from_the_matched_method() -> None:
    levels = ["A"] * 40 + ["B"] * 160
    claims = spread(0.02, range(40), 24, 1) | spread(0.004, range(40, 200), 24, 2)
    found = rates_of(levels, claims)
    assert found is not None
    assert found.observed == sum(hull < 40 for hull in claims)
    assert 1.5 < found.low < found.ratio < found.high
    assert found.low < 5 < found.high
    assert found.belief().sum() == pytest.approx(1.0)
    assert found.low < found.usual_ratio < found.high
    assert len(found.hull_id) == 200


def test_expected_claims_without_the_cause_add_up_to_the_baseline() -> None:
    levels = ["A"] * 50 + ["B"] * 150
    claims = dict.fromkeys(range(50, 65), 6) | dict.fromkeys(range(10), 6)
    found = rates_of(levels, claims)
    assert found is not None
    # 15 of 150 without it by month 24; the same rate on 50 hulls would give 5.
    assert found.expected()[:50].sum() == pytest.approx(5.0, rel=0.25)
    total = found.expected()[50:].sum() + found.usual_ratio * found.expected()[:50].sum()
    assert total == pytest.approx(25.0, rel=1e-6)


def test_without_exposed_cases_the_prior_keeps_the_ratio_finite() -> None:
    found = rates_of(["A"] * 10 + ["B"] * 90, dict.fromkeys(range(50, 56), 5))
    assert found is not None
    assert found.observed == 0
    assert found.ratio == 0.0
    assert RATIOS[0] < found.usual_ratio < 2.0
    assert np.isfinite(found.expected()).all()


def test_no_case_gives_no_rates() -> None:
    # The only claim came long after the last day to which its hull was followed.
    assert rates_of(["A", "B", "B"], {1: 40}) is None


def test_the_curve_ends_where_few_are_followed() -> None:
    found = rates_of(["A"] * 3 + ["B"] * 3, {0: 4})
    assert found is not None
    assert found.last_month == 24
    short = rates_of(["A"] * 8, {0: 4}, [30, 30, 30, 20, 20, 10, 10, 10])
    assert short is not None
    # The first hull claimed in month 4; five are followed to month 10 at least, four to 20.
    assert short.last_month == 10

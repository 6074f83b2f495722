"""Rate ratios of what comes with the weather, the season held constant."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.analysis.matched.hulls import baseline, exposure, population, risk_sets
from tracegraph.analysis.matched.effects import effects
from tracegraph.analysis.matched.estimates import estimates

HULLS = 1461
"""One a day, four years."""

YEAR = 365.25
MARGINS = ("build period",)
LEVELS = np.array([0, 2])


def damp_days(ratio, seed):
    """A quarter of each year claims four times as often, and most of its days are damp."""
    rng = np.random.default_rng(seed)
    day = np.arange(float(HULLS))
    summer = np.mod(day, YEAR) < YEAR / 4
    damp = rng.random(HULLS) < np.where(summer, 0.6, 0.1)
    lot = rng.random(HULLS) < 0.2
    rate = 0.05 * np.where(summer, 4.0, 1.0) * np.where(damp, ratio, 1.0)
    month = np.where(rng.random(HULLS) < rate, rng.integers(1, 13, HULLS), -1)
    people = population(np.full(HULLS, 24), month, build_period=(day // (YEAR / 2)).astype(int))
    answers = [[np.flatnonzero(each), np.flatnonzero(~each)] for each in (damp, lot)]
    return people, exposure(answers, HULLS)


def both(ratio, seed):
    """Estimates of the damp days and of the lot, without and with the season."""
    people, matrix = damp_days(ratio, seed)
    sets, base = risk_sets(people, matrix, MARGINS), baseline(people, MARGINS)
    tables = sets.tables(LEVELS)
    never = estimates(sets, base, tables, MARGINS, np.array([False, False]))
    damp = estimates(sets, base, tables, MARGINS, np.array([True, False]))
    return never, damp


@pytest.mark.parametrize("ratio", [1.0, 2.5])
def test_a_season_in_the_claims_is_not_laid_to_the_damp(ratio):
    found = [both(ratio, seed) for seed in range(12)]
    without, within = (np.median([each[n].ratio[0] for each in found]) for n in (0, 1))
    assert without > 1.25 * ratio
    assert within == pytest.approx(ratio, rel=0.12)
    held = sum(damp.low[0] <= ratio <= damp.high[0] for _, damp in found)
    assert held >= 10


def test_other_families_are_estimated_as_before():
    people, matrix = damp_days(2.5, 1)
    sets, base = risk_sets(people, matrix, MARGINS), baseline(people, MARGINS)
    plain = effects(base, sets.tables(LEVELS))
    never, damp = both(2.5, 1)
    assert never.ratio == pytest.approx(plain.ratios.ratio)
    assert never.p_value == pytest.approx(plain.tests.greater)
    for name in ("expected", "ratio", "low", "high", "p_value"):
        assert getattr(damp, name)[1] == getattr(never, name)[1]
        assert getattr(damp, name)[0] != getattr(never, name)[0]


def test_without_days_of_building_there_is_no_season():
    people, matrix = damp_days(2.5, 2)
    undated = replace(people, built_day=np.full(HULLS, np.nan))
    sets, base = risk_sets(undated, matrix, MARGINS), baseline(undated, MARGINS)
    found = estimates(sets, base, sets.tables(LEVELS), MARGINS, np.array([True, False]))
    never, _ = both(2.5, 2)
    assert found.ratio == pytest.approx(never.ratio)

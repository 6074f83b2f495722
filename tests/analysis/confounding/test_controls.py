from __future__ import annotations

import numpy as np

from tests.analysis.matched.hulls import exposure, population
from tracegraph.analysis.confounding.controls import (
    neighbour_control,
    neighbours,
    outcome_control,
)

DAY = np.arange(800.0)
LOT = np.zeros(800, bool)
LOT[300:340:2] = True
ALL = np.ones(800, bool)


def claims(bad, rate=0.6, seed=2):
    rng = np.random.default_rng(seed)
    month = np.where(rng.random(800) < np.where(bad, rate, 0.02), rng.integers(1, 9, 800), -1)
    return population(np.full(800, 12), month)


def test_neighbours_are_those_between_and_as_many_before_and_after():
    found = np.flatnonzero(neighbours(LOT, ALL, DAY, ALL))
    assert not LOT[found].any()
    assert found.min() == 281
    assert found.max() == 357
    # The first and last of the lot lie outside the middle 90 % of it.
    assert {301, 337} <= set(found.tolist())


def test_a_suspect_strewn_over_time_has_no_neighbours():
    mold = np.zeros(800, bool)
    mold[::17] = True
    assert neighbours(mold, ALL, DAY, ALL) is None
    assert neighbours(np.zeros(800, bool), ALL, DAY, ALL) is None


def test_hulls_without_a_day_or_a_record_are_no_neighbours():
    day, known = DAY.copy(), ALL.copy()
    day[305], known[311] = np.nan, False
    found = neighbours(LOT, known, day, ALL)
    assert not found[[305, 311]].any()


def test_neighbours_of_a_bad_lot_are_sound_and_those_of_a_bad_spell_are_not():
    matrix = exposure([[np.flatnonzero(LOT)]], 800)
    sound = neighbour_control(claims(LOT), matrix, (), 0, DAY)
    assert not sound.raised
    spell = claims((DAY >= 270) & (DAY < 370))
    raised = neighbour_control(spell, matrix, (), 0, DAY)
    assert raised.raised
    assert raised.claims.observed > 3 * raised.claims.expected


def test_another_complaint_is_even_unless_it_shares_the_cause():
    even = outcome_control(claims(np.zeros(800, bool), seed=4), (), LOT)
    assert even.hulls == 20
    assert even.claims.low < 1.5
    assert outcome_control(claims(LOT), (), LOT).claims.low > 1.5

from __future__ import annotations

import numpy as np
import pytest

from tests.analysis.matched.hulls import exposure, population
from tracegraph.analysis.matched.calibration import calibrate
from tracegraph.analysis.matched.detectable import smallest_detectable, typical_level
from tracegraph.analysis.matched.search import Search, search

HULLS = 3000


def searched(rate, margins=()) -> Search:
    """Families that follow the time of building, as lots do, and some that do not."""
    rng = np.random.default_rng(8)
    place = np.arange(HULLS)
    families = []
    for number in range(24):
        order = np.argsort(place + rng.normal(0, 30, HULLS))
        codes = np.empty(HULLS, int)
        codes[order] = place // (60 + 5 * number)
        families.append([np.flatnonzero(codes == level) for level in range(codes.max() + 1)])
    month = np.where(rng.random(HULLS) < rate(place), rng.integers(1, 9, HULLS), -1)
    people = population(
        np.full(HULLS, 12), month, build_period=place // 500, model=rng.integers(0, 3, HULLS)
    )
    return search(people, exposure(families, HULLS), margins=margins, resamples=99, seed=3)


def test_even_claims_are_well_calibrated():
    found = calibrate(searched(lambda place: np.full(HULLS, 0.04)), seed=1)
    assert 0.5 < found.inflation < 1.5
    assert not found.missing_difference
    inside = (found.observed >= found.low) & (found.observed <= found.high)
    assert inside.mean() > 0.7


def test_a_trend_that_is_not_allowed_for_is_told_and_allowed_for_is_not():
    def falling(place):
        return 0.12 * np.exp(-3.0 * place / HULLS)

    assert calibrate(searched(falling), seed=1).missing_difference
    settled = calibrate(searched(falling, ("model", "build period")), seed=1)
    assert not settled.missing_difference


def test_without_broad_levels_there_is_nothing_to_say():
    people = population([9] * 10, [1, 2] + [-1] * 8)
    found = search(people, exposure([[[0, 1]]], 10), margins=(), resamples=9)
    calibrated = calibrate(found)
    assert np.isnan(calibrated.inflation)
    assert not calibrated.missing_difference


def test_a_typical_level_has_the_median_size():
    found = searched(lambda place: np.full(HULLS, 0.04))
    level = typical_level(found)
    sizes = np.sort(found.screen.exposed[found.screen.exposed >= 2])
    assert found.screen.exposed[level] == pytest.approx(np.median(sizes), abs=5)
    assert typical_level(found, np.zeros(24, bool)) is None


def test_what_could_be_detected_is_detected_as_often_as_said():
    """Claims drawn with the smallest detectable ratio pass the threshold four times in five."""
    found = searched(lambda place: np.full(HULLS, 0.04))
    level = typical_level(found)
    ratio = smallest_detectable(found, level)
    assert 2.0 < ratio < 60.0
    assert smallest_detectable(found, level, power=0.5) < ratio
    tables = found.sets.tables(np.array([level]))
    chance = np.repeat(tables.chance(np.ones(1))[0], tables.cases[0].astype(int))
    tilted = chance * ratio / (1 + chance * (ratio - 1))
    drawn = (np.random.default_rng(1).random((4000, len(chance))) < tilted).sum(axis=1)
    needed = np.quantile(drawn, 0.2)
    assert (drawn >= needed).mean() >= 0.8


def test_a_level_on_one_hull_is_never_detected():
    found = searched(lambda place: np.full(HULLS, 0.04))
    people = found.sets.population
    thin = search(people, exposure([[[5]], [range(0, HULLS, 2)]], HULLS), margins=(), resamples=99)
    assert smallest_detectable(thin, 0) == np.inf

"""One planted world each: a lot, a lot and a mold, a bad spell that nothing explains."""

from __future__ import annotations

import numpy as np
import pytest

from tests.analysis.matched.hulls import exposure, population
from tracegraph.analysis.matched.frame import COLUMNS, DEPENDS, suspects_frame
from tracegraph.analysis.matched.rounds import Plant, Round, investigate

HULLS = 1200
LOT, MOLD = 7, 41
PEOPLE_FAMILY = 3


def world(relative, seed=1):
    """Two models, 40 lots of 30 hulls in turn (mixed), six molds, 50 random tags, 4 crews."""
    rng = np.random.default_rng(seed)
    model = rng.integers(0, 2, HULLS)
    order = np.argsort(np.arange(HULLS) + rng.normal(0, 20, HULLS))
    lot = np.empty(HULLS, int)
    lot[order] = np.arange(HULLS) // 30
    mold = model * 3 + rng.integers(0, 3, HULLS)
    tag, crew = rng.integers(0, 50, HULLS), rng.integers(0, 4, HULLS)
    families = [
        [np.flatnonzero(codes == level) for level in range(codes.max() + 1)]
        for codes in (lot, mold, tag, crew)
    ]
    rate = 0.02 * relative(lot, mold, crew)
    month = np.where(rng.random(HULLS) < rate, rng.integers(1, 13, HULLS), -1)
    people = population(
        rng.integers(8, 25, HULLS), month, model=model, build_period=np.arange(HULLS) // 200
    )
    return people, exposure(families, HULLS)


def rounds_of(relative, seed=1, people=False) -> list[Round]:
    hulls, matrix = world(relative, seed)
    of_people = np.arange(4) == PEOPLE_FAMILY
    plant = Plant(
        np.ones(4, bool) if people else ~of_people, of_people, lambda _: (hulls.built_day,)
    )
    return investigate(hulls, matrix, plant, resamples=199, seed=5)


@pytest.fixture(scope="module")
def one_lot() -> list[Round]:
    return rounds_of(lambda lot, mold, crew: np.where(lot == LOT, 20.0, 1.0))


@pytest.fixture(scope="module")
def two_causes() -> list[Round]:
    return rounds_of(
        lambda lot, mold, crew: np.where(lot == LOT, 25.0, 1.0) * np.where(mold == 1, 4.0, 1.0)
    )


def test_a_bad_lot_leads_at_level_two_and_nothing_else_stays(one_lot):
    assert one_lot[0].leader == LOT
    assert one_lot[0].evidence.level == 2
    assert one_lot[0].facts.window_margin > 1.0
    assert not one_lot[0].neighbours.raised
    assert all(each.evidence.level < 2 for each in one_lot[1:])


def test_the_second_cause_leads_once_the_first_is_set_aside(two_causes):
    assert [each.leader for each in two_causes[:2]] == [LOT, MOLD]
    assert two_causes[1].set_aside[0].level == LOT
    assert two_causes[1].evidence.level == 2


def test_a_bad_spell_is_set_aside_as_a_window_and_nothing_is_accused():
    def spell(lot, mold, crew):
        place = np.arange(HULLS)
        return np.where((place >= 300) & (place < 360), 20.0, 1.0)

    found = rounds_of(spell)
    assert found[0].facts.p_family <= 0.2
    assert found[0].facts.window_margin < 0.0
    assert found[0].evidence.level == 1
    assert "window-explains-better" in found[0].evidence.held_back_by
    aside = found[1].set_aside[0]
    assert aside.level is None
    assert 250 < aside.first_day < 340
    assert all(each.evidence.level < 2 for each in found)


def test_a_later_leader_inside_an_earlier_cause_is_the_same_cause_seen_sharper():
    """Half of the lot is much worse than the rest: a tag on that half leads round two."""
    rng = np.random.default_rng(4)
    lot = np.arange(HULLS) // 60
    worse = np.flatnonzero((lot == 7) & (np.arange(HULLS) % 2 == 0))
    rate = np.where(lot == 7, 0.15, 0.015)
    rate[worse] = 0.9
    month = np.where(rng.random(HULLS) < rate, rng.integers(1, 13, HULLS), -1)
    hulls = population(np.full(HULLS, 24), month, model=np.zeros(HULLS, int))
    lots = [np.flatnonzero(lot == level) for level in range(20)]
    matrix = exposure([lots, [worse, np.setdiff1d(np.arange(HULLS), worse)]], HULLS)
    nobody = np.zeros(2, bool)
    found = investigate(
        hulls,
        matrix,
        Plant(~nobody, nobody, lambda _: (hulls.built_day,)),
        margins=("model",),
        seed=2,
    )
    assert [each.leader for each in found[:2]] in ([7, 20], [20, 7])
    assert "refines-earlier" in found[1].evidence.held_back_by
    assert found[1].evidence.level <= 1


def test_people_are_held_at_level_one():
    found = rounds_of(lambda lot, mold, crew: np.where(crew == 2, 8.0, 1.0), people=True)
    leader = found[0].search.sets.exposure.level_family[found[0].leader]
    assert leader == PEOPLE_FAMILY
    assert found[0].facts.p_family < 0.05
    assert found[0].evidence.level == 1
    assert "people" in found[0].evidence.held_back_by


def test_the_shortlist_holds_the_lot(one_lot):
    names = one_lot[0].search.levels[one_lot[0].shortlist]
    assert LOT in names
    assert len(names) <= 3


def test_frame_has_one_row_for_each_suspect_and_the_later_leader_from_its_round(two_causes):
    frame = suspects_frame(two_causes)
    assert frame.index.is_unique
    assert list(frame.columns[: len(COLUMNS)]) == list(COLUMNS)
    assert frame.index[0] == LOT
    first, second = frame.loc[LOT], frame.loc[MOLD]
    assert (first["round"], second["round"]) == (1, 2)
    assert first["evidence"] == second["evidence"] == 2
    assert first["rate_ratio_low"] < 25.0 < first["rate_ratio_high"]
    assert second["rate_ratio_low"] < 4.0 < second["rate_ratio_high"]
    others = frame.drop([LOT, MOLD])
    assert (others["evidence"] < 2).all()
    alone = suspects_frame(two_causes[:1]).loc[MOLD]
    assert (alone["evidence"], alone["held_back_by"]) == (1, (DEPENDS,))


def test_frame_of_no_rounds_has_the_same_columns(one_lot):
    full, empty = suspects_frame(one_lot), suspects_frame([])
    assert list(full.columns) == list(empty.columns)
    assert not len(empty)
    assert (full.dtypes == empty.dtypes).all()


def test_two_names_for_the_same_hulls_are_one_suspect():
    hulls, matrix = world(lambda lot, mold, crew: np.where(lot == LOT, 20.0, 1.0))
    lots = [matrix.hulls_of(level) for level in range(40)]
    twice = exposure([lots, lots], HULLS)
    nobody = np.zeros(2, bool)
    found = investigate(hulls, twice, Plant(~nobody, nobody, lambda _: (hulls.built_day,)), seed=5)
    frame = suspects_frame(found)
    assert frame.loc[LOT, "aliases"] == ((LOT + 40, 1.0),)
    assert frame.loc[LOT, "alias_group"] == frame.loc[LOT + 40, "alias_group"]
    assert frame.loc[[LOT, LOT + 40], "evidence"].tolist() == [2, 2]

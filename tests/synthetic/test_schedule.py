from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.synthetic.conftest import Yard
from tracegraph.synthetic.molds import WAX_EVERY
from tracegraph.synthetic.schedule import CUT_OFF, make_schedule
from tracegraph.synthetic.workdays import MINUTES_A_DAY, OPENING, day_of, minute
from tracegraph.synthetic.yard import MODELS, PART_STEPS, PARTS

CLOSING = 22 * 60


def test_steps_of_a_part_follow_each_other(yard: Yard) -> None:
    for part, steps in PART_STEPS.items():
        run = yard.built.schedule.parts[part]
        for before, after in itertools.pairwise(steps):
            assert (run.start[after.name] >= run.finish[before.name]).all(), (part, after.name)
        for step in steps:
            assert (run.finish[step.name] > run.start[step.name]).all()


def test_a_hull_is_assembled_after_all_its_parts_left_their_molds(yard: Yard) -> None:
    schedule = yard.built.schedule
    for part in PARTS:
        assert (schedule.start["bond grid"] > schedule.parts[part].finish["pull"]).all()
    order = ("bond grid", "bond deck", "rig", "water test")
    for before, after in itertools.pairwise(order):
        assert (schedule.start[after] >= schedule.finish[before]).all()


def test_a_mold_holds_one_part_at_a_time_and_counts_its_pulls(yard: Yard) -> None:
    for part in PARTS:
        run = yard.built.schedule.parts[part]
        first = next(iter(run.start.values()))
        for mold in set(run.mold_no.tolist()):
            mine = np.flatnonzero(run.mold_no == mold)
            mine = mine[np.argsort(run.pull_no[mine])]
            assert run.pull_no[mine].tolist() == list(range(1, mine.size + 1))
            assert (first[mine][1:] > run.finish["pull"][mine][:-1]).all()


def test_a_mold_serves_one_model_and_each_model_has_its_molds(yard: Yard) -> None:
    schedule = yard.built.schedule
    for part in PARTS:
        for index, model in enumerate(MODELS):
            molds = set(schedule.parts[part].mold_no[schedule.model == index].tolist())
            assert len(molds) == model.molds[part]
            assert all(m.startswith(model.name) for m in molds)


def test_services_fall_between_pulls_and_reset_the_count(yard: Yard) -> None:
    schedule = yard.built.schedule
    starts = {}
    for part in PARTS:
        run = schedule.parts[part]
        first = next(iter(run.start.values()))
        for mold, pull, begin, end, since in zip(
            run.mold_no, run.pull_no, first, run.finish["pull"], run.since_service, strict=True
        ):
            starts[mold, int(pull)] = (begin, end, int(since))
    assert {s.event for s in schedule.services} == {"waxed", "repaired"}
    for service in schedule.services:
        begin, _, since = starts[service.mold_no, service.pulls + 1]
        assert service.at < begin
        assert since == 1
        if service.pulls:
            assert service.at >= starts[service.mold_no, service.pulls][1]
    counts = [since for _, _, since in starts.values()]
    assert max(counts) <= WAX_EVERY[1]
    resets = {(s.mold_no, s.pulls + 1) for s in schedule.services}
    for (mold, pull), (_, _, since) in starts.items():
        if (mold, pull) not in resets and pull > 1:
            assert since == starts[mold, pull - 1][2] + 1


def test_all_work_is_done_in_shifts_before_the_cut_off(yard: Yard) -> None:
    for work in yard.built.works.values():
        of_day = work.start % MINUTES_A_DAY
        assert (of_day >= OPENING).all()
        assert (of_day < CLOSING).all()
        assert (work.finish % MINUTES_A_DAY <= CLOSING).all()
        assert (day_of(work.start) == day_of(work.finish)).all()
        weekday = (day_of(work.start) + 3) % 7
        assert (weekday < 5).all()
        assert (work.finish < minute(CUT_OFF) + MINUTES_A_DAY).all()


def test_a_first_coat_wiped_off_lies_between_mold_prep_and_the_second(yard: Yard) -> None:
    for part in ("hull", "deck"):
        run, work = yard.built.schedule.parts[part], yard.built.works[part, "gelcoat spray"]
        first = np.flatnonzero((work.attempt == 1) & run.sprayed_twice[work.hull])
        assert first.size == run.sprayed_twice.sum() > 0
        hull = work.hull[first]
        assert (work.start[first] >= run.finish["mold prep"][hull]).all()
        assert (work.finish[first] <= run.start["gelcoat spray"][hull]).all()


def test_weekend_gaps_come_from_fridays_and_hit_both_crews(yard: Yard) -> None:
    gap = yard.built.hours_between("hull", "gelcoat spray", "skin coat")
    long = gap > 24
    assert 0.05 < long.mean() < 0.15
    sprayed = (day_of(yard.built.schedule.parts["hull"].finish["gelcoat spray"]) + 3) % 7
    assert (sprayed[long] == 4).mean() > 0.8
    crews = yard.built.works["hull", "skin coat"].crew[: yard.built.count][long]
    assert 0.35 < (crews == "A").mean() < 0.65


def test_a_late_rush_puts_half_of_the_hulls_into_the_last_fifth() -> None:
    schedule = make_schedule(np.random.default_rng(3), 400, molds_times=2, late_share=0.5)
    sprayed = day_of(schedule.parts["hull"].start["gelcoat spray"])
    limit = sprayed.min() + 0.75 * (sprayed.max() - sprayed.min())
    assert 0.45 < (sprayed > limit).mean() < 0.6


@settings(max_examples=15, deadline=None)
@given(hulls=st.integers(30, 250), seed=st.integers(0, 2**32))
def test_any_yard_is_laid_out_in_order(hulls: int, seed: int) -> None:
    schedule = make_schedule(np.random.default_rng(seed), hulls)
    assert schedule.model.size == hulls
    for part in PARTS:
        run = schedule.parts[part]
        assert (run.start["pull"] >= run.finish["laminate"]).all()
        assert (schedule.start["bond grid"] > run.finish["pull"]).all()


@pytest.mark.parametrize("part", PARTS)
def test_parts_are_made_shortly_before_their_hull(part: str, yard: Yard) -> None:
    schedule = yard.built.schedule
    days = day_of(schedule.start["bond grid"]) - day_of(schedule.parts[part].finish["pull"])
    assert np.median(days) <= 21

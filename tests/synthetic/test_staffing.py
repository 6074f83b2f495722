from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.synthetic.conftest import Yard
from tracegraph.synthetic.staffing import on_duty, take_turns
from tracegraph.synthetic.workdays import minute
from tracegraph.synthetic.yard import EQUIPMENT_OF, GELCOAT_SPRAY, HARD_MOLD, LEAD_SPRAYER


@given(
    jobs=st.lists(st.tuples(st.integers(0, 200), st.integers(1, 30)), min_size=1, max_size=60),
    size=st.integers(1, 5),
    seed=st.integers(0, 2**32),
)
def test_nobody_is_booked_twice_while_another_is_free(
    jobs: list[tuple[int, int]], size: int, seed: int
) -> None:
    start = np.array([s for s, _ in jobs])
    finish = start + np.array([n for _, n in jobs])
    rng = np.random.default_rng(seed)
    who = take_turns(rng, start, finish, np.zeros(start.size, dtype=np.int64), [size])
    busy = [0] * size
    for i in np.lexsort((finish, start)):
        if busy[who[i]] > start[i]:
            assert min(busy) > start[i]
        busy[who[i]] = max(busy[who[i]], int(finish[i]))


def test_work_without_a_pool_is_left_alone() -> None:
    start = np.array([0, 0])
    pool = np.array([-1, 0])
    who = take_turns(np.random.default_rng(1), start, start + 5, pool, [3])
    assert who[0] == -1
    assert who[1] >= 0


@pytest.mark.parametrize("field", ["operator", "equipment"])
def test_hardly_anyone_or_anything_is_in_two_places_at_once(field: str, yard: Yard) -> None:
    works = list(yard.built.works.values())
    start = np.concatenate([w.start for w in works])
    finish = np.concatenate([w.finish for w in works])
    code = np.concatenate([getattr(w, field) for w in works])
    clashes = total = 0
    for name in set(code.tolist()) - {""}:
        mine = np.flatnonzero(code == name)
        mine = mine[np.argsort(start[mine], kind="stable")]
        until = np.maximum.accumulate(finish[mine])
        clashes += int((start[mine][1:] < until[:-1]).sum())
        total += mine.size
    assert clashes / total < 0.01


def test_crews_change_shift_every_two_weeks() -> None:
    monday = minute("2024-03-04")
    week = 7 * 1440
    morning = np.array([monday + k * week + 480 for k in range(8)])
    crew, shift = on_duty(morning)
    assert set(shift) == {"day"}
    assert sorted(np.diff(crew).tolist()) == [-1, -1, 0, 0, 0, 0, 1] or np.abs(
        np.diff(crew)
    ).tolist().count(1) in (3, 4)
    evening, late = on_duty(morning + 480)
    assert set(late) == {"evening"}
    assert (evening == 1 - crew).all()


def test_machines_belong_to_the_step(yard: Yard) -> None:
    for (part, step), work in yard.built.works.items():
        names = EQUIPMENT_OF.get((part, step), ("",))
        assert set(work.equipment.tolist()) == set(names)


def test_the_lead_sprayer_gets_the_hard_mold(yard: Yard) -> None:
    work = yard.built.works["hull", GELCOAT_SPRAY]
    hard = yard.built.schedule.parts["hull"].mold_no[work.hull] == HARD_MOLD
    lead = work.operator == LEAD_SPRAYER
    assert 0.5 < lead[hard].mean() < 0.8
    assert 0.01 < lead[~hard].mean() < 0.1
    for key, other in yard.built.works.items():
        if key != ("hull", GELCOAT_SPRAY):
            assert LEAD_SPRAYER not in other.operator

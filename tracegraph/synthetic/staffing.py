"""Who did each piece of work and with which machine: nobody and nothing in two places at once.

Two crews change shift every two weeks, so that each gets its share of every weekday.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tracegraph.synthetic.chance import Chance
from tracegraph.synthetic.floor import Work
from tracegraph.synthetic.schedule import Schedule
from tracegraph.synthetic.stock import Texts
from tracegraph.synthetic.workdays import MINUTES_A_DAY, SHIFT_CHANGE, Minutes, day_of
from tracegraph.synthetic.yard import (
    EQUIPMENT_OF,
    GELCOAT_SPRAY,
    HARD_MOLD,
    LEAD_SPRAYER,
    TEAM_OF,
    TEAM_SIZE,
)

LEAD_ON_HARD_MOLD = 0.64  # share of the hard mold's hulls that the lead sprayer takes
LEAD_ELSEWHERE = 0.05
CREWS = ("A", "B")


def on_duty(start: Minutes) -> tuple[NDArray[np.int64], Texts]:
    """Crew on duty (0 or 1) and shift at clock minutes."""
    evening = start % MINUTES_A_DAY >= SHIFT_CHANGE
    fortnight = (day_of(start) + 3) // 14
    return (fortnight + evening) % 2, np.where(evening, "evening", "day").astype(object)


def take_turns(
    rng: np.random.Generator,
    start: Minutes,
    finish: Minutes,
    pool: NDArray[np.int64],
    sizes: Sequence[int],
) -> NDArray[np.int64]:
    """Give each piece of work a member of its pool who is free.

    Parameters
    ----------
    rng : Generator
        Source of chance: among the free, one is drawn.
    start, finish : ndarray of int64
        When each piece of work is done.
    pool : ndarray of int
        Which pool serves it; -1 leaves it alone.
    sizes : sequence of int
        Members of each pool.

    Returns
    -------
    ndarray of int
        Member of the pool, from 0; the first to come free where all are busy; -1 where the
        work was left alone.

    Examples
    --------
    >>> start, finish = np.array([0, 5, 20]), np.array([10, 15, 30])
    >>> both = take_turns(np.random.default_rng(1), start, finish, np.zeros(3, int), [2])
    >>> bool(both[0] != both[1])
    True
    """
    free = [[0] * size for size in sizes]
    order = np.lexsort((finish, start))
    draw = rng.random(start.size)
    member = np.full(start.size, -1, dtype=np.int64)
    rows = zip(
        order.tolist(),
        start[order].tolist(),
        finish[order].tolist(),
        pool[order].tolist(),
        draw[order].tolist(),
        strict=True,
    )
    for row, begin, end, which, chance in rows:
        if which < 0:
            continue
        until = free[which]
        size = len(until)
        first = int(chance * size)
        for turn in range(first, first + size):
            if until[turn % size] <= begin:
                chosen = turn % size
                break
        else:
            chosen = min(range(size), key=until.__getitem__)
        until[chosen] = max(until[chosen], end)
        member[row] = chosen
    return member


def staff(chance: Chance, works: Sequence[Work], schedule: Schedule, times: int) -> list[Work]:
    """People and machines for all work of a plant some times the sample's size."""
    people = _people(chance, works, schedule, times)
    machines = _machines(chance, works, times)
    done = []
    for work, operator, machine in zip(works, people, machines, strict=True):
        crew, shift = on_duty(work.start)
        crews = np.array(CREWS, dtype=object)[crew]
        done.append(replace(work, operator=operator, equipment=machine, crew=crews, shift=shift))
    return done


def _split(values: Texts, works: Sequence[Work]) -> list[Texts]:
    return np.split(values, np.cumsum([w.start.size for w in works])[:-1])


def _people(chance: Chance, works: Sequence[Work], schedule: Schedule, times: int) -> list[Texts]:
    """Code of the person who led each piece of work, out of the crew on duty."""
    start = np.concatenate([w.start for w in works])
    finish = np.concatenate([w.finish for w in works])
    team = np.concatenate([np.full(w.start.size, TEAM_OF[w.step], dtype=object) for w in works])
    code = np.full(start.size, "", dtype=object)
    lead = _lead_takes(chance.of("lead sprayer"), works, schedule)
    led = take_turns(chance.of("lead"), start, finish, np.where(lead, 0, -1), [1])
    code[led == 0] = LEAD_SPRAYER
    crew, _ = on_duty(start)
    for name, per_crew in TEAM_SIZE.items():
        size = per_crew * times
        pool = np.where((team == name) & (led < 0), crew, -1)
        member = take_turns(chance.of("team " + name), start, finish, pool, [size, size])
        codes = np.array([f"{name}-{k + 1:02d}" for k in range(2 * size + 1)], dtype=object)
        codes = codes[codes != LEAD_SPRAYER]
        mine = member >= 0
        code[mine] = codes[crew[mine] * size + member[mine]]
    return _split(code, works)


def _lead_takes(
    rng: np.random.Generator, works: Sequence[Work], schedule: Schedule
) -> NDArray[np.bool_]:
    """Coats that the lead sprayer takes: most hulls of the hard mold, few others.

    One coat at a time: of two that overlap, the later goes to the crew.
    """
    takes = []
    for work in works:
        wanted = np.zeros(work.start.size, dtype=bool)
        if (work.part, work.step) == ("hull", GELCOAT_SPRAY):
            hard = schedule.parts["hull"].mold_no[work.hull] == HARD_MOLD
            share = np.where(hard, LEAD_ON_HARD_MOLD, LEAD_ELSEWHERE)
            wanted = rng.random(wanted.size) < share
            order = np.argsort(work.start, kind="stable")
            busy_until = np.int64(0)
            for row in order[wanted[order]].tolist():
                wanted[row] = work.start[row] >= busy_until
                busy_until = work.finish[row] if wanted[row] else busy_until
        takes.append(wanted)
    return np.concatenate(takes)


def _machines(chance: Chance, works: Sequence[Work], times: int) -> list[Texts]:
    """Machine of each piece of work; a larger plant has sisters GC-1.2, GC-1.3 of GC-1."""
    start = np.concatenate([w.start for w in works])
    finish = np.concatenate([w.finish for w in works])
    kinds = sorted(set(EQUIPMENT_OF.values()))
    names = [
        np.array(
            [m if k == 0 else f"{m}.{k + 1}" for m in kind for k in range(times)], dtype=object
        )
        for kind in kinds
    ]
    which = [EQUIPMENT_OF.get((w.part, w.step)) for w in works]
    pool = np.concatenate(
        [
            np.full(w.start.size, -1 if kind is None else kinds.index(kind))
            for w, kind in zip(works, which, strict=True)
        ]
    )
    member = take_turns(chance.of("machines"), start, finish, pool, [n.size for n in names])
    code = np.full(start.size, "", dtype=object)
    for index, pool_names in enumerate(names):
        mine = pool == index
        code[mine] = pool_names[member[mine]]
    return _split(code, works)

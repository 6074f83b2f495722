"""When each part was made and each hull put together, and in which mold.

A mold holds one part at a time; a step starts after the step before it; work stops between
shifts and over weekends; a hull is assembled after all its parts have left their molds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracegraph.synthetic.molds import Service, share_out, since_service, waxed_before
from tracegraph.synthetic.stock import Texts
from tracegraph.synthetic.workdays import (
    DAY_LENGTH,
    Minutes,
    WorkCalendar,
    fit_in_day,
    minute,
)
from tracegraph.synthetic.yard import GELCOAT_SPRAY, MODELS, PART_STEPS, PARTS

FIRST_DAY = "2022-09-05"
LAST_DUE = "2026-05-20"  # the last hull's parts are due out of the mold
CUT_OFF = "2026-06-30"
LEAD_DAYS = {"hull": 9, "deck": 8, "grid": 7, "hatch": 5}  # working days before assembly
REPAIR_EVERY = 45  # pulls between repairs of a mold, on average
REPAIR_DAYS = 2
REPAIR_TAKES = 300  # minutes of working time
WAXING_TAKES = 40
RESPRAYED = 0.015  # share of coats sprayed twice
FIRST_COAT = 35  # minutes of a coat that is then wiped off
WIPE_OFF = 50  # minutes of wiping off and cleaning

ASSEMBLY: tuple[tuple[str, tuple[int, int], tuple[int, int]], ...] = (
    # step, wait after the step before, duration: minutes of working time
    ("bond grid", (60, 600), (120, 200)),
    ("bond deck", (500, 1200), (150, 260)),
    ("rig", (200, 900), (420, 720)),
    ("water test", (60, 500), (40, 80)),
)


@dataclass(frozen=True)
class PartRun:
    """All parts of one kind; every array has one entry per hull, in build order.

    Attributes
    ----------
    mold_no : ndarray of str
        Mold as called at the time of the pull.
    pull_no : ndarray of int
        Count of pulls of that mold, this one included.
    start, finish : dict of str to ndarray
        Step to clock minutes.
    since_service : ndarray of int
        Pulls since the mold was last waxed or repaired, this one included.
    sprayed_twice : ndarray of bool
        The first coat was wiped off and sprayed again.
    first_coat : ndarray of int64
        Clock minutes at which such a first coat was begun; of no meaning elsewhere.
    """

    mold_no: Texts
    pull_no: NDArray[np.int64]
    start: dict[str, Minutes]
    finish: dict[str, Minutes]
    since_service: NDArray[np.int64]
    sprayed_twice: NDArray[np.bool_]
    first_coat: Minutes


@dataclass(frozen=True)
class Schedule:
    """The build sequence.

    Attributes
    ----------
    model : ndarray of int
        Index into ``MODELS``.
    parts : dict of str to PartRun
        Per kind of part.
    start, finish : dict of str to ndarray
        Assembly step to clock minutes.
    services : list of Service
        Waxings and repairs of molds.
    """

    model: NDArray[np.int64]
    parts: dict[str, PartRun]
    start: dict[str, Minutes]
    finish: dict[str, Minutes]
    services: list[Service]


def _uniform(rng: np.random.Generator, low_high: tuple[int, int], n: int) -> Minutes:
    return rng.integers(low_high[0], low_high[1] + 1, n)


def make_schedule(
    rng: np.random.Generator, hulls: int, *, molds_times: int = 1, late_share: float = 0.0
) -> Schedule:
    """Lay out the work of the whole yard.

    Parameters
    ----------
    rng : Generator
        Source of chance.
    hulls : int
        How many.
    molds_times : int
        How many times the sample's molds the plant has.
    late_share : float
        Share of all hulls crowded into the last fifth of the calendar; 0 for an even flow.
    """
    calendar = WorkCalendar.between(FIRST_DAY, "2026-12-31")
    last = int(np.searchsorted(calendar.days, minute(LAST_DUE) // 1440)) * DAY_LENGTH
    spot = (np.arange(hulls) + rng.random(hulls)) / hulls
    if late_share:
        early = 1 - late_share
        spot = np.where(spot < early, spot / early * 0.8, 0.8 + (spot - early) / late_share * 0.2)
    lead = LEAD_DAYS["hull"] * DAY_LENGTH
    due = lead + np.round(spot * (last - lead)).astype(np.int64)
    shares = np.cumsum([m.share for m in MODELS])
    model = np.searchsorted(shares[:-1], rng.random(hulls), side="right")
    parts: dict[str, PartRun] = {}
    services: list[Service] = []
    ready = due.copy()
    for part in PARTS:
        run, out, serviced = _mold_parts(rng, part, model, due, calendar, molds_times)
        parts[part] = run
        services += serviced
        ready = np.maximum(ready, out)
    start: dict[str, Minutes] = {}
    finish: dict[str, Minutes] = {}
    before = ready
    for step, wait, length in ASSEMBLY:
        took = _uniform(rng, length, hulls)
        began = fit_in_day(before + _uniform(rng, wait, hulls), took)
        before = began + took
        start[step] = calendar.clock(began)
        finish[step] = start[step] + took
    return Schedule(model, parts, start, finish, services)


def _mold_parts(
    rng: np.random.Generator,
    part: str,
    model: NDArray[np.int64],
    due: Minutes,
    calendar: WorkCalendar,
    molds_times: int,
) -> tuple[PartRun, Minutes, list[Service]]:
    """Make every part of one kind, mold by mold, pull by pull."""
    n = model.size
    steps = PART_STEPS[part]
    mold, pull, names = share_out(rng, part, model, molds_times)
    want = np.maximum(due - LEAD_DAYS[part] * DAY_LENGTH - rng.integers(0, DAY_LENGTH, n), 0)
    wait = {s.name: _uniform(rng, s.wait, n) for s in steps}
    took = {s.name: _uniform(rng, s.length, n) for s in steps}
    for step in steps:
        if step.overnight:
            held = rng.random(n) < step.overnight
            wait[step.name] = wait[step.name] + np.where(held, rng.integers(240, 520, n), 0)
    twice = rng.random(n) < (RESPRAYED if steps[0].name == "mold prep" else 0.0)
    first_coat = np.zeros(n, dtype=np.int64)
    pause = rng.integers(60, 190, n)
    mended = (rng.random(n) < 1 / REPAIR_EVERY) & (pull > 5)
    waxed = waxed_before(rng, mold, pull, len(names))
    begun = {s.name: np.zeros(n, dtype=np.int64) for s in steps}
    free = np.zeros(len(names), dtype=np.int64)
    order = np.argsort(pull, kind="stable")
    turns = np.split(order, np.flatnonzero(np.diff(pull[order])) + 1)
    for turn in turns:  # one part of each mold at a time
        t = np.maximum(want[turn], free[mold[turn]] + pause[turn])
        t = t + np.where(mended[turn], REPAIR_DAYS * DAY_LENGTH, 0)
        for step in steps:
            length = took[step.name][turn]
            if step.name == GELCOAT_SPRAY:
                coat = fit_in_day(t + 5, np.full(turn.size, FIRST_COAT))
                first_coat[turn] = coat
                t = np.where(twice[turn], coat + FIRST_COAT + WIPE_OFF, t)
            t = fit_in_day(t + wait[step.name][turn], length)
            begun[step.name][turn] = t
            t = t + length
        free[mold[turn]] = t
    start = {s: calendar.clock(t) for s, t in begun.items()}
    finish = {s: start[s] + took[s] for s in start}
    first = begun[steps[0].name]
    services = [
        Service(str(names[mold[i]]), event, int(at), int(pull[i]) - 1)
        for event, flag, before in (
            ("waxed", waxed, WAXING_TAKES),
            ("repaired", mended, REPAIR_TAKES),
        )
        for i, at in zip(np.flatnonzero(flag), calendar.clock(first[flag] - before), strict=True)
    ]
    out = begun["pull"] + took["pull"] + rng.integers(60, 480, n)
    since = since_service(mold, pull, waxed | mended)
    return (
        PartRun(names[mold], pull, start, finish, since, twice, calendar.clock(first_coat)),
        out,
        services,
    )

"""Every piece of work on the floor, and what was read off during it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tracegraph.synthetic.schedule import ASSEMBLY, FIRST_COAT, Schedule
from tracegraph.synthetic.stock import Texts
from tracegraph.synthetic.weather import Values, Weather
from tracegraph.synthetic.workdays import Minutes
from tracegraph.synthetic.yard import (
    COLD_PUMP,
    GELCOAT_SPRAY,
    LAMINATING_HALL,
    PART_STEPS,
    STATION_OF,
)

FAHRENHEIT = 1.8


@dataclass(frozen=True)
class Use:
    """One material used in some rows of a :class:`Work`.

    Attributes
    ----------
    material, unit : str
        What and in which unit.
    row : ndarray of int
        Rows of the work.
    lot_no, drum_no : ndarray of str
        One per entry of ``row``.
    quantity : ndarray of float
        Amount used.
    logged : bool
        Whether the spray log has a column for it.
    """

    material: str
    unit: str
    row: NDArray[np.int64]
    lot_no: Texts
    drum_no: Texts
    quantity: Values
    logged: bool = False


@dataclass(frozen=True)
class Work:
    """One step on one kind of part (or on hulls), one row per operation.

    Attributes
    ----------
    part, step : str
        Which; ``part`` is "" for work on the hull as a whole.
    hull : ndarray of int
        Hull of each row, as an index into the build order.
    attempt : ndarray of int
        1 for the first try.
    start, finish : ndarray of int64
        Clock minutes.
    station : str
        Where.
    equipment, operator, crew, shift : ndarray of str
        One per row; blank where there is none.
    uses : list of Use
        Materials.
    readings : dict of (str, str) to ndarray
        (quantity, unit) to the value of each row.
    """

    part: str
    step: str
    hull: NDArray[np.int64]
    attempt: NDArray[np.int64]
    start: Minutes
    finish: Minutes
    station: str
    equipment: Texts
    operator: Texts
    crew: Texts
    shift: Texts
    uses: list[Use] = field(default_factory=list)
    readings: dict[tuple[str, str], Values] = field(default_factory=dict)


def plan_work(part: str, step: str, schedule: Schedule) -> Work:
    """One step of the schedule, without people, machines or materials yet."""
    hulls = schedule.model.size
    hull = np.arange(hulls)
    attempt = np.ones(hulls, dtype=np.int64)
    run = schedule.parts[part] if part else None
    start = (run.start if run else schedule.start)[step]
    finish = (run.finish if run else schedule.finish)[step]
    if run and step == GELCOAT_SPRAY and run.sprayed_twice.any():
        again = np.flatnonzero(run.sprayed_twice)
        attempt[again] = 2
        coat = run.first_coat[again]
        hull = np.concatenate([hull, again])
        attempt = np.concatenate([attempt, np.ones(again.size, dtype=np.int64)])
        start = np.concatenate([start, coat])
        finish = np.concatenate([finish, coat + FIRST_COAT])
    station = STATION_OF.get((part, step), LAMINATING_HALL)
    blank = np.full(hull.size, "", dtype=object)
    return Work(part, step, hull, attempt, start, finish, station, blank, blank, blank, blank)


def steps_in_order() -> list[tuple[str, str]]:
    """Every (part, step) of the plant, parts first."""
    on_parts = [(part, s.name) for part, steps in PART_STEPS.items() for s in steps]
    return on_parts + [("", step) for step, _, _ in ASSEMBLY]


def read_gelcoat(
    rng: np.random.Generator, work: Work, weather: Weather, *, cold_pump: bool
) -> None:
    """Write down what the sprayer reads: air, mold, humidity, catalyst, film, gel time.

    Parameters
    ----------
    rng : Generator
        Source of chance.
    work : Work
        A gelcoat spray; gets its readings.
    weather : Weather
        Of the halls.
    cold_pump : bool
        Whether the catalyst pump of one gun runs short in the cold: by 0.35 points of
        catalyst for each degC below 17.5.
    """
    n = work.hull.size
    air, humidity = weather.at(work.station, work.start)
    mold = air - 0.4 - 1.6 * rng.random(n)
    catalyst = 1.80 + 0.09 * rng.standard_normal(n)
    if cold_pump:
        short = np.where(work.equipment == COLD_PUMP, np.maximum(17.5 - air, 0.0), 0.0)
        catalyst = catalyst - np.minimum(0.35 * short, 0.8)
    film = 16.6 + 2.7 * rng.standard_normal(n) - 0.5 * (work.equipment == "GC-2")
    gel = 15 * (1.8 / np.maximum(catalyst, 0.8)) * (1 - 0.03 * (air - 22))
    gel = gel + 1.2 * rng.standard_normal(n)
    readings = work.readings
    readings["ambient_temp", "degF"] = np.round(air * FAHRENHEIT + 32 + 0.4 * rng.random(n))
    readings["mold_temp", "degF"] = np.round(mold * FAHRENHEIT + 32)
    readings["relative_humidity", "%"] = np.clip(
        np.round(humidity + rng.standard_normal(n)), 20, 95
    )
    readings["catalyst_pct", "%"] = np.clip(np.round(catalyst, 2), 0.9, 2.6)
    readings["wet_film", "mil"] = np.clip(np.round(film * 2) / 2, 8, 28)
    readings["gel_time", "min"] = np.clip(np.round(gel), 6, 60)


def read_laminate(rng: np.random.Generator, work: Work, weather: Weather) -> None:
    """Write down gel time, peak exotherm and glass content of a laminate."""
    n = work.hull.size
    air, _ = weather.at(work.station, work.start)
    work.readings["gel_time", "min"] = np.round(24 - 0.8 * (air - 21) + 2 * rng.standard_normal(n))
    work.readings["peak_exotherm", "degC"] = np.round(
        96 + 0.9 * (air - 21) + 6 * rng.standard_normal(n)
    )
    work.readings["glass_content", "%"] = np.round(33 + 1.6 * rng.standard_normal(n), 1)

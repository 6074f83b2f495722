"""Who did each piece of work, with what machine, out of which lots, in what conditions."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tracegraph.synthetic.schedule import ASSEMBLY, Schedule
from tracegraph.synthetic.stock import Texts
from tracegraph.synthetic.weather import Values, Weather
from tracegraph.synthetic.workdays import (
    MINUTES_A_DAY,
    SHIFT_CHANGE,
    Minutes,
    day_of,
)
from tracegraph.synthetic.yard import (
    COLD_PUMP,
    EQUIPMENT_OF,
    GELCOAT_SPRAY,
    LAMINATING_HALL,
    LEAD_SPRAYER,
    PART_STEPS,
    STATION_OF,
    TEAM_OF,
    TEAM_SIZE,
)

HARD_MOLD = "S22-H2"  # deep chine, tight radius: the lead sprayer's usual mold
LEAD_ON_HARD_MOLD = 0.72
LEAD_ELSEWHERE = 0.03
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


@dataclass(frozen=True)
class Crews:
    """Codes of the people of a plant some times the sample's size."""

    times: int

    def member(self, rng: np.random.Generator, team: str, crew: NDArray[np.int64]) -> Texts:
        """One code of the team for each row, out of the crew on duty (0 or 1)."""
        size = TEAM_SIZE[team] * self.times
        codes = np.array([f"{team}-{k + 1:02d}" for k in range(2 * size)], dtype=object)
        if team == "SP":
            codes = np.array([c if c != LEAD_SPRAYER else "SP-00" for c in codes], dtype=object)
        pick: Texts = codes[crew * size + (rng.random(crew.size) * size).astype(np.int64)]
        return pick


def on_duty(start: Minutes) -> tuple[NDArray[np.int64], Texts]:
    """Crew on duty (0 or 1) and shift of clock minutes; crews change shift every two weeks."""
    evening = start % MINUTES_A_DAY >= SHIFT_CHANGE
    fortnight = (day_of(start) + 3) // 14
    crew = (fortnight + evening) % 2
    return crew, np.where(evening, "evening", "day").astype(object)


def do_work(
    rng: np.random.Generator,
    part: str,
    step: str,
    schedule: Schedule,
    times: int,
) -> Work:
    """Staff and equip one step of the schedule."""
    hulls = schedule.model.size
    hull = np.arange(hulls)
    if part:
        run = schedule.parts[part]
        start, finish = run.start[step], run.finish[step]
    else:
        run = None
        start, finish = schedule.start[step], schedule.finish[step]
    attempt = np.ones(hulls, dtype=np.int64)
    if run is not None and step == GELCOAT_SPRAY and run.sprayed_twice.any():
        again = np.flatnonzero(run.sprayed_twice)
        attempt[again] = 2
        prepared = run.finish["mold prep"][again]
        hull = np.concatenate([hull, again])
        attempt = np.concatenate([attempt, np.ones(again.size, dtype=np.int64)])
        start = np.concatenate([start, prepared + 5])
        finish = np.concatenate([finish, prepared + 40])
    crew, shift = on_duty(start)
    operator = Crews(times).member(rng, TEAM_OF[step], crew)
    if run is not None and part == "hull" and step == GELCOAT_SPRAY:
        operator = _lead_sprayer(rng, run.mold_no[hull], operator)
    machines = EQUIPMENT_OF.get((part, step), ())
    return Work(
        part,
        step,
        hull,
        attempt,
        start,
        finish,
        STATION_OF.get((part, step), LAMINATING_HALL),
        _machine(rng, machines, hull.size, times),
        operator,
        np.array(["A", "B"], dtype=object)[crew],
        shift,
    )


def _lead_sprayer(rng: np.random.Generator, mold_no: Texts, operator: Texts) -> Texts:
    chance = np.where(mold_no == HARD_MOLD, LEAD_ON_HARD_MOLD, LEAD_ELSEWHERE)
    return np.where(rng.random(operator.size) < chance, LEAD_SPRAYER, operator).astype(object)


def _machine(rng: np.random.Generator, names: tuple[str, ...], n: int, times: int) -> Texts:
    """A machine for each row; a larger plant has sister machines GC-1, GC-1.2, GC-1.3."""
    if not names:
        return np.full(n, "", dtype=object)
    all_names = [m if k == 0 else f"{m}.{k + 1}" for m in names for k in range(times)]
    return np.array(all_names, dtype=object)[(rng.random(n) * len(all_names)).astype(np.int64)]


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

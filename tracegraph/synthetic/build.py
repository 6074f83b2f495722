"""Run the yard: everything that was built, before anyone claims anything."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracegraph.synthetic.chance import Chance
from tracegraph.synthetic.floor import (
    Work,
    plan_work,
    read_gelcoat,
    read_laminate,
    steps_in_order,
)
from tracegraph.synthetic.hulls import Fitted, Hulls, fit_components, paint, register
from tracegraph.synthetic.issue import issue_materials
from tracegraph.synthetic.schedule import CUT_OFF, FIRST_DAY, Schedule, make_schedule
from tracegraph.synthetic.staffing import staff
from tracegraph.synthetic.stock import Stockroom, Texts
from tracegraph.synthetic.weather import Values, Weather, make_weather
from tracegraph.synthetic.yard import GELCOAT_SPRAY, PART_LETTER, PARTS

SAMPLE_SIZE = 1200  # hulls that the plant of one set of molds and crews builds


@dataclass(frozen=True)
class Built:
    """All that the yard did.

    Attributes
    ----------
    chance : Chance
        Source of chance.
    schedule : Schedule
        When and in which mold.
    hulls : Hulls
        Numbers and delivery.
    works : dict of (str, str) to Work
        (part, step) to the operations.
    stock : Stockroom
        Lots and blends.
    fitted : list of Fitted
        Components.
    weather : Weather
        Of the halls.
    part_serial : dict of str to ndarray
        Part to serials in build order.
    """

    chance: Chance
    schedule: Schedule
    hulls: Hulls
    works: dict[tuple[str, str], Work]
    stock: Stockroom
    fitted: list[Fitted]
    weather: Weather
    part_serial: dict[str, Texts]

    @property
    def count(self) -> int:
        """How many hulls."""
        return int(self.schedule.model.size)

    def uses(self, part: str, step: str, material: str) -> tuple[NDArray[np.int64], Texts, Texts]:
        """Hull, lot and drum of every use of a material in a step."""
        work = self.works[part, step]
        mine = [u for u in work.uses if u.material == material]
        hull = np.concatenate([work.hull[u.row] for u in mine])
        lot = np.concatenate([u.lot_no for u in mine])
        drum = np.concatenate([u.drum_no for u in mine])
        return hull, lot, drum

    def reading(self, part: str, step: str, quantity: str, unit: str) -> Values:
        """Value of a reading at the last attempt, one per hull."""
        return self.works[part, step].readings[quantity, unit][: self.count]

    def among(self, hull: NDArray[np.int64]) -> NDArray[np.bool_]:
        """Which hulls appear in an array of hull indices."""
        marked = np.zeros(self.count, dtype=bool)
        marked[hull] = True
        return marked

    def hours_between(self, part: str, first: str, second: str) -> Values:
        """Hours from the end of one step to the start of another, one per hull."""
        run = self.schedule.parts[part]
        gap: Values = (run.start[second] - run.finish[first]) / 60.0
        return gap


def build_yard(hulls: int, seed: int, *, cold_pump: bool = False, late_share: float = 0.0) -> Built:
    """Build hulls in a plant large enough for them.

    Parameters
    ----------
    hulls : int
        How many.
    seed : int
        Of all chance.
    cold_pump : bool
        Whether one gun's catalyst pump runs short in the cold.
    late_share : float
        Share of the hulls crowded into the last fifth of the calendar.
    """
    chance = Chance(seed)
    times = max(1, round(hulls / SAMPLE_SIZE))
    molds_times = times * (2 if late_share else 1)
    schedule = make_schedule(
        chance.of("schedule"), hulls, molds_times=molds_times, late_share=late_share
    )
    weather = make_weather(chance.of("weather"), FIRST_DAY, CUT_OFF)
    planned = [plan_work(part, step, schedule) for part, step in steps_in_order()]
    works = {(w.part, w.step): w for w in staff(chance, planned, schedule, times)}
    for (part, step), work in works.items():
        rng = chance.of(f"readings {part} {step}")
        if step == GELCOAT_SPRAY:
            read_gelcoat(rng, work, weather, cold_pump=cold_pump)
        elif step == "laminate" and part in ("hull", "deck"):
            read_laminate(rng, work, weather)
    colour = paint(chance, hulls)
    stock = issue_materials(chance, list(works.values()), schedule.model, colour)
    registered = register(chance, schedule, colour)
    fitted = fit_components(chance, schedule, works["", "rig"].operator)
    return Built(
        chance, schedule, registered, works, stock, fitted, weather, _part_serials(schedule)
    )


def _part_serials(schedule: Schedule) -> dict[str, Texts]:
    """Serials that rise with the day on which each part was begun."""
    serials: dict[str, Texts] = {}
    for part in PARTS:
        run = schedule.parts[part]
        first = next(iter(run.start.values()))
        rank = np.empty(first.size, dtype=np.int64)
        rank[np.argsort(first, kind="stable")] = np.arange(1, first.size + 1)
        letter = PART_LETTER[part]
        serials[part] = np.array([f"{letter}{k:05d}" for k in rank.tolist()], dtype=object)
    return serials

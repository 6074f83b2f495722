"""Causes that can be planted: each finds its level in the yard and says which hulls it hits."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tracegraph.synthetic.build import Built
from tracegraph.synthetic.floor import HARD_MOLD
from tracegraph.synthetic.schedule import CUT_OFF
from tracegraph.synthetic.stock import Texts
from tracegraph.synthetic.weather import Values
from tracegraph.synthetic.workdays import day_of
from tracegraph.synthetic.yard import COLD_PUMP, GELCOAT_SPRAY, LEAD_SPRAYER

THIN_FILM = 14.0  # mils
LOW_CATALYST = 1.5  # % by weight
LONG_GAP = 24.0  # hours


@dataclass(frozen=True)
class Planted:
    """One entry of the answer key, and the failures behind it.

    Attributes
    ----------
    symptom : str
        Symptom word.
    role : str
        "planted", "decoy" or "nothing".
    causes : tuple of (str, str or None)
        Family and level; no level where the level is a band that the reader draws.
    note : str
        What was done, in one or two sentences.
    extra : ndarray of float
        Chance of each hull to fail of it some day; zero for a decoy.
    age : tuple of float
        First age, scale and shape of a Weibull law, in months in service.
    zone : str
        Where it shows; "" for any zone of the symptom.
    exposed : ndarray of bool
        Hulls that carry the cause.
    letter_on : str
        Day on which the yard wrote to the owners of exposed hulls; "" for never.
    """

    symptom: str
    role: str
    causes: tuple[tuple[str, str | None], ...]
    note: str
    extra: Values
    age: tuple[float, float, float] = (0, 1, 1)
    zone: str = ""
    exposed: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, dtype=bool))
    letter_on: str = ""


Cause = Callable[[Built], Planted]


def pick(
    built: Built, hull: NDArray[np.int64], level: Texts, at: float, low: float, high: float
) -> str:
    """Level whose hulls number within a range and lie nearest to a place in the sequence.

    Parameters
    ----------
    built : Built
        The yard.
    hull, level : ndarray
        Pairs of hull and level.
    at : float
        Wanted place of the level's middle hull, from 0 (first built) to 1 (last built).
    low, high : float
        Wanted share of all hulls, in hulls of a plant of the sample's size.
    """
    size = min(built.count, 1200)
    names, which, counts = np.unique(level.astype(str), return_inverse=True, return_counts=True)
    middle = np.array([np.median(hull[which == k]) for k in range(names.size)]) / built.count
    low, high = low * size / 1200, high * size / 1200
    off = np.maximum(low - counts, 0) + np.maximum(counts - high, 0)
    best = np.lexsort((np.abs(middle - at), off))[0]
    return str(names[best])


def thin_gelcoat_lot(built: Built) -> Planted:
    """One hull gelcoat lot blisters, worst where the wet film was thin."""
    hull, lot, _ = built.uses("hull", GELCOAT_SPRAY, "gelcoat")
    white = built.hulls.colour[hull] == "white"
    level = pick(built, hull[white], lot[white], 0.10, 50, 75)
    exposed = built.among(hull[lot == level])
    thin = built.reading("hull", GELCOAT_SPRAY, "wet_film", "mil") < THIN_FILM
    return Planted(
        "blister",
        "planted",
        (("hull: gelcoat spray: gelcoat lot", level), ("hull: gelcoat spray: wet_film", None)),
        f"Hulls sprayed from this lot blister at 20 to 40 months, twice as often where the wet "
        f"film was under {THIN_FILM:g} mil. Thin film on other lots does no harm.",
        np.where(exposed, np.where(thin, 0.75, 0.38), 0.0),
        (20, 7, 1.7),
        "bottom",
        exposed,
    )


def cold_catalyst(built: Built) -> Planted:
    """One gun's catalyst pump runs short in cold weeks; decks sprayed so fade."""
    catalyst = built.reading("deck", GELCOAT_SPRAY, "catalyst_pct", "%")
    exposed = catalyst < LOW_CATALYST
    return Planted(
        "fading",
        "planted",
        (
            ("deck: gelcoat spray: catalyst_pct", None),
            ("deck: gelcoat spray: equipment", COLD_PUMP),
        ),
        f"The pump of {COLD_PUMP} delivers too little catalyst when its booth is below 17.5 "
        f"degC. Decks sprayed with less than {LOW_CATALYST:g} % fade at 4 to 24 months; the gun "
        "does no harm in warm weeks.",
        np.where(exposed, 0.65, 0.0),
        (4, 9, 1.6),
        "",
        exposed,
    )


def bad_mold(built: Built) -> Planted:
    """One hull mold traps air at one chine, in all seasons."""
    exposed = built.schedule.parts["hull"].mold_no == HARD_MOLD
    return Planted(
        "void",
        "planted",
        (("hull: mold", HARD_MOLD),),
        "Hulls from this mold have voids at the port chine, in all seasons.",
        np.where(exposed, 0.24, 0.0),
        (1, 9, 1.2),
        "port chine",
        exposed,
    )


def busy_sprayer(built: Built) -> Planted:
    """Decoy: the lead sprayer works mostly on the bad mold and does nothing wrong."""
    work = built.works["hull", GELCOAT_SPRAY]
    return Planted(
        "void",
        "decoy",
        (("hull: gelcoat spray: operator", LEAD_SPRAYER),),
        f"The lead sprayer gets most hulls of mold {HARD_MOLD}, so the raw rate is high; within "
        "a mold the sprayer makes no difference.",
        np.zeros(built.count),
        exposed=built.among(work.hull[work.operator == LEAD_SPRAYER]),
    )


def hose_lot(built: Built) -> Planted:
    """One lot of fuel hose, fitted to two models, smells of fuel."""
    fitted = next(f for f in built.fitted if f.component == "fuel hose")
    level = pick(built, fitted.hull, fitted.lot_no, 0.36, 36, 52)
    exposed = built.among(fitted.hull[fitted.lot_no == level])
    return Planted(
        "fuel smell",
        "planted",
        (("hull: fuel hose: lot", level),),
        "One lot of fuel hose, fitted to S22 and S26, lets fuel vapour through. Safety class 1. "
        "After the letter of 2026-04-13 claims on these hulls are solicited.",
        np.where(exposed, 0.42, 0.0),
        (1, 8, 1.3),
        "fuel",
        exposed,
        "2026-04-13",
    )


def weekend_gap(built: Built) -> Planted:
    """A skin coat more than a day after the gelcoat does not bond."""
    gap = built.hours_between("hull", GELCOAT_SPRAY, "skin coat")
    exposed = gap > LONG_GAP
    return Planted(
        "delamination",
        "planted",
        (("hull: skin coat: hours since gelcoat spray", None),),
        f"Hulls whose skin coat came more than {LONG_GAP:g} h after the gelcoat (a weekend or a "
        "holiday between) delaminate at 6 to 30 months. The Monday crews do nothing wrong.",
        np.where(exposed, 0.42, 0.0),
        (6, 10, 1.5),
        "",
        exposed,
    )


def nothing(symptom: str, note: str) -> Cause:
    """A symptom without a cause."""

    def cause(built: Built) -> Planted:
        return Planted(symptom, "nothing", (), note, np.zeros(built.count))

    return cause


def built_between(built: Built, first: float, last: float) -> NDArray[np.bool_]:
    """Hulls whose shell was sprayed within a part of the calendar, as shares of it."""
    sprayed = day_of(built.schedule.parts["hull"].start[GELCOAT_SPRAY])
    low, high = int(sprayed.min()), int(sprayed.max())
    return (sprayed >= low + first * (high - low)) & (sprayed <= low + last * (high - low))


def cut_off_day() -> int:
    """Day of the cut-off, counted from 1970-01-01."""
    return int(np.datetime64(CUT_OFF, "D").astype(np.int64))

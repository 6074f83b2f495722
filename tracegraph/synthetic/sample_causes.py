"""The five causes, the decoy and the quiet symptom of the sample.

All are honest to the trade: thin gelcoat sets when blisters begin, cold and little catalyst
leave gelcoat under-cured, a tight radius traps air, a long wait weakens the bond between coats.
"""

from __future__ import annotations

import numpy as np

from tracegraph.synthetic.build import Built
from tracegraph.synthetic.causes import Cause, KeyEntry, Planted, innocent, nothing, pick
from tracegraph.synthetic.yard import COLD_PUMP, GELCOAT_SPRAY, HARD_MOLD, LEAD_SPRAYER

THIN_FILM = 14.0  # mils
LOW_CATALYST = 1.5  # % by weight
LONG_GAP = 24.0  # hours
LETTER_ON = "2026-04-13"


def thin_gelcoat_lot(built: Built) -> Planted:
    """One hull gelcoat lot blisters, worst where the wet film was thin."""
    hull, lot, _ = built.uses("hull", GELCOAT_SPRAY, "gelcoat")
    white = built.hulls.colour[hull] == "white"
    level = pick(built, hull[white], lot[white], 0.10, 50, 75)
    exposed = built.among(hull[lot == level])
    thin = built.reading("hull", GELCOAT_SPRAY, "wet_film", "mil") < THIN_FILM
    entry = KeyEntry(
        "blister",
        "planted",
        (("hull: gelcoat spray: gelcoat lot", level), ("hull: gelcoat spray: wet_film", None)),
        f"Hulls sprayed from this lot blister at 20 to 40 months, twice as often where the wet "
        f"film was under {THIN_FILM:g} mil. Thin film on other lots does no harm.",
    )
    extra = np.where(exposed, np.where(thin, 0.75, 0.38), 0.0)
    return Planted(entry, exposed, extra, (20, 7, 1.7), "bottom")


def cold_catalyst(built: Built) -> Planted:
    """One gun's catalyst pump runs short in cold weeks; decks sprayed so fade."""
    exposed = built.reading("deck", GELCOAT_SPRAY, "catalyst_pct", "%") < LOW_CATALYST
    entry = KeyEntry(
        "fading",
        "planted",
        (
            ("deck: gelcoat spray: catalyst_pct", None),
            ("deck: gelcoat spray: equipment", COLD_PUMP),
        ),
        f"The pump of {COLD_PUMP} delivers too little catalyst when its booth is below 17.5 "
        f"degC. Decks sprayed with less than {LOW_CATALYST:g} % fade at 4 to 24 months; the gun "
        "does no harm in warm weeks. Long gel times are the same fault, seen a step later.",
    )
    return Planted(entry, exposed, np.where(exposed, 0.65, 0.0), (4, 9, 1.6))


def bad_mold(built: Built) -> Planted:
    """One hull mold traps air at one chine, in all seasons."""
    exposed = built.schedule.parts["hull"].mold_no == HARD_MOLD
    entry = KeyEntry(
        "void",
        "planted",
        (("hull: mold", HARD_MOLD),),
        "Hulls from this mold have voids at the port chine, in all seasons.",
    )
    return Planted(entry, exposed, np.where(exposed, 0.24, 0.0), (1, 9, 1.2), "port chine")


def busy_sprayer(built: Built) -> Planted:
    """Decoy: the lead sprayer works mostly on the bad mold and does nothing wrong."""
    work = built.works["hull", GELCOAT_SPRAY]
    return innocent(
        built,
        "decoy",
        "void",
        (("hull: gelcoat spray: operator", LEAD_SPRAYER),),
        f"The lead sprayer gets most hulls of mold {HARD_MOLD}, so the raw rate is high; within "
        "a mold the sprayer makes no difference.",
        built.among(work.hull[work.operator == LEAD_SPRAYER]),
    )


def hose_lot(built: Built) -> Planted:
    """One lot of fuel hose, fitted to two models, smells of fuel."""
    fitted = next(f for f in built.fitted if f.component == "fuel hose")
    level = pick(built, fitted.hull, fitted.lot_no, 0.36, 36, 52)
    exposed = built.among(fitted.hull[fitted.lot_no == level])
    entry = KeyEntry(
        "fuel smell",
        "planted",
        (("hull: fuel hose: lot", level),),
        "One lot of fuel hose, fitted to S22 and S26, lets fuel vapour through. Safety class 1. "
        f"After the letter of {LETTER_ON} claims on these hulls are solicited.",
    )
    extra = np.where(exposed, 0.42, 0.0)
    return Planted(entry, exposed, extra, (1, 8, 1.3), "fuel", LETTER_ON)


def weekend_gap(built: Built) -> Planted:
    """A skin coat more than a day after the gelcoat does not bond."""
    exposed = built.hours_between("hull", GELCOAT_SPRAY, "skin coat") > LONG_GAP
    entry = KeyEntry(
        "delamination",
        "planted",
        (("hull: skin coat: hours since gelcoat spray", None),),
        f"Hulls whose skin coat came more than {LONG_GAP:g} h after the gelcoat (a weekend or a "
        "holiday between) delaminate at 6 to 30 months. The Monday crews do nothing wrong.",
    )
    return Planted(entry, exposed, np.where(exposed, 0.42, 0.0), (6, 10, 1.5))


SAMPLE_CAUSES: tuple[Cause, ...] = (
    thin_gelcoat_lot,
    cold_catalyst,
    bad_mold,
    busy_sprayer,
    hose_lot,
    weekend_gap,
    nothing("steering stiffness", "Same rate for every hull; anything that stands out is chance."),
)

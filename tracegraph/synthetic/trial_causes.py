"""Single causes of known strength, for trials of a method over many seeds.

Each multiplies a low background rate by a stated effect in the hulls that carry it. Where
several levels would do, the seed chooses, so that no trial is tuned on one place.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tracegraph.synthetic.build import Built
from tracegraph.synthetic.causes import Cause, KeyEntry, Planted, pick
from tracegraph.synthetic.symptoms import SYMPTOM_OF
from tracegraph.synthetic.weather import Values
from tracegraph.synthetic.workdays import day_of
from tracegraph.synthetic.yard import GELCOAT_SPRAY, HARD_MOLD

BACKGROUND = 0.03  # share of hulls with the symptom by 36 months in service, without a cause
MOST_EXTRA = 0.8
LOT_EFFECT = 15.0
DRUM_EFFECT = 40.0
MOLD_EFFECT = 4.0
WEAR_EFFECT = 6.0
WORN_AFTER = 7  # pulls since the mold was serviced
HUMID_EFFECT = 4.0
HUMID_SHARE = 0.10  # of hulls, those sprayed in the dampest air
SUPPLIER_EFFECT = 3.0
PAIR_EFFECT = 6.0
SPELL_EFFECT = 7.0
SPELL_WEEKS = 10.0


def _planted(
    built: Built,
    symptom: str,
    causes: tuple[tuple[str, str | None], ...],
    exposed: NDArray[np.bool_],
    effect: float,
    note: str,
    role: str = "planted",
) -> Planted:
    said = f"{note} They fail about {effect:g} times as often as other hulls."
    entry = KeyEntry(symptom, role, causes, said)
    return Planted(entry, exposed, _extra(exposed, effect), SYMPTOM_OF[symptom].age)


def _extra(exposed: NDArray[np.bool_], effect: float) -> Values:
    chance: Values = np.where(exposed, min((effect - 1) * BACKGROUND, MOST_EXTRA), 0.0)
    return chance


def hull_lot(
    symptom: str, between: tuple[float, float] = (0.2, 0.6), size: tuple[float, float] = (25, 60)
) -> Cause:
    """One hull gelcoat lot, somewhere in a stretch of the sequence."""

    def cause(built: Built) -> Planted:
        hull, lot, _ = built.uses("hull", GELCOAT_SPRAY, "gelcoat")
        at = between[0] + (between[1] - between[0]) * built.chance.of("where lot").random()
        level = pick(built, hull, lot, at, *size)
        return _planted(
            built,
            symptom,
            (("hull: gelcoat spray: gelcoat lot", level),),
            built.among(hull[lot == level]),
            LOT_EFFECT,
            "Hulls sprayed from one gelcoat lot.",
        )

    return cause


def one_drum(built: Built) -> Planted:
    """One drum of hull gelcoat."""
    hull, lot, drum = built.uses("hull", GELCOAT_SPRAY, "gelcoat")
    both = np.array(lot + "/" + drum, dtype=object)
    at = 0.2 + 0.4 * built.chance.of("where drum").random()
    level = pick(built, hull, both, at, 7, 14)
    return _planted(
        built,
        "porosity",
        (("hull: gelcoat spray: gelcoat drum", level),),
        built.among(hull[both == level]),
        DRUM_EFFECT,
        "Hulls sprayed from one drum; the other drums of the lot are sound.",
    )


def one_mold(symptom: str) -> Cause:
    """One hull mold."""

    def cause(built: Built) -> Planted:
        molds = built.schedule.parts["hull"].mold_no
        names = [m for m in np.unique(molds.astype(str)).tolist() if m != HARD_MOLD]
        level = names[int(built.chance.of("where mold").integers(len(names)))]
        return _planted(
            built,
            symptom,
            (("hull: mold", level),),
            molds == level,
            MOLD_EFFECT,
            "Hulls from one mold.",
        )

    return cause


def worn_mold(built: Built) -> Planted:
    """Any hull mold, some pulls after it was waxed or repaired."""
    return _planted(
        built,
        "void",
        (("hull: mold pulls since service", None),),
        built.schedule.parts["hull"].since_service >= WORN_AFTER,
        WEAR_EFFECT,
        f"Hulls pulled {WORN_AFTER} pulls or more after their mold was waxed or repaired, that "
        "pull included.",
    )


def humid_days(built: Built) -> Planted:
    """The dampest days in the hull booth; damp days are summer days."""
    humidity = built.reading("hull", GELCOAT_SPRAY, "relative_humidity", "%")
    limit = float(np.sort(humidity)[int((1 - HUMID_SHARE) * humidity.size)])
    return _planted(
        built,
        "porosity",
        (("hull: gelcoat spray: relative_humidity", None),),
        humidity >= limit,
        HUMID_EFFECT,
        f"Hulls sprayed at {limit:g} % relative humidity or more.",
    )


def pump_supplier(built: Built) -> Planted:
    """All lots of one of the two suppliers of bilge pumps."""
    pumps = next(f for f in built.fitted if f.component == "bilge pump")
    return _planted(
        built,
        "bilge pump failure",
        (("hull: bilge pump: supplier", "V-92"),),
        built.among(pumps.hull[pumps.supplier == "V-92"]),
        SUPPLIER_EFFECT,
        "Hulls with a pump of this supplier, of whatever lot.",
    )


def supplier_pair(built: Built) -> Planted:
    """Skin resin of one supplier under woven roving of another."""
    resin = _supplied(built, "skin coat", "skin resin", "V-42")
    roving = _supplied(built, "laminate", "woven roving", "V-52")
    first = "hull: skin coat: skin resin supplier"
    second = "hull: laminate: woven roving supplier"
    return _planted(
        built,
        "delamination",
        ((f"{first} × {second}", "V-42 × V-52"),),
        resin & roving,
        PAIR_EFFECT,
        "Hulls with this skin resin and this roving together; either alone is sound.",
    )


def _supplied(built: Built, step: str, material: str, supplier: str) -> NDArray[np.bool_]:
    hull, lot, _ = built.uses("hull", step, material)
    lots = {
        name
        for frame in built.stock.lots
        for name, code, what in zip(
            frame["lot_no"], frame["supplier"], frame["material"], strict=True
        )
        if what == material and code == supplier
    }
    return built.among(hull[[name in lots for name in lot.tolist()]])


def bad_spell(built: Built) -> Planted:
    """Some weeks in which hulls are worse, for a reason that no record holds."""
    sprayed = day_of(built.schedule.parts["hull"].start[GELCOAT_SPRAY])
    first, last = int(sprayed.min()), int(sprayed.max())
    share = 0.2 + 0.4 * built.chance.of("where spell").random()
    begin = first + round(share * (last - first))
    exposed = (sprayed >= begin) & (sprayed < begin + SPELL_WEEKS * 7)
    return _planted(
        built,
        "porosity",
        (),
        exposed,
        SPELL_EFFECT,
        f"Hulls sprayed in {SPELL_WEEKS:g} weeks from {np.datetime64(begin, 'D')}, for a reason "
        "that no record holds: no recorded factor is the cause.",
        role="nothing",
    )

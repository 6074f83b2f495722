"""The made-up histories that can be asked for by name."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tracegraph.synthetic import causes
from tracegraph.synthetic.build import Built
from tracegraph.synthetic.causes import Cause, Planted, pick
from tracegraph.synthetic.symptoms import SYMPTOM_OF, SYMPTOMS, Symptom
from tracegraph.synthetic.yard import GELCOAT_SPRAY

BACKGROUND = 0.016  # share of hulls with the symptom in question by 36 months, without a cause
LOT_EFFECT = 15.0
DRUM_EFFECT = 40.0
MOLD_EFFECT = 4.0
SUPPLIER_EFFECT = 3.0
SPELL_EFFECT = 7.0
SPELL_WEEKS = 10.0
CALENDAR_WEEKS = 193.0  # from the first day of building to the last due day


@dataclass(frozen=True)
class Scenario:
    """One history.

    Attributes
    ----------
    name, line : str
        What it is called and what it holds, in one line.
    causes : tuple of callables
        Entries of the answer key, found in the finished yard.
    changed : tuple of Symptom
        Symptoms whose background differs from the sample's.
    cold_pump : bool
        Whether one gun's catalyst pump runs short in the cold.
    late_share : float
        Share of hulls crowded into the last fifth of the calendar.
    lost_lots : tuple of float
        Share of gelcoat lots not written down: any hull, hulls with a planted symptom.
    dirty : bool
        Whether the exports carry a real shop's dirt.
    """

    name: str
    line: str
    causes: tuple[Cause, ...]
    changed: tuple[Symptom, ...] = ()
    cold_pump: bool = False
    late_share: float = 0.0
    lost_lots: tuple[float, float] = (0.02, 0.02)
    dirty: bool = False

    def symptoms(self) -> tuple[Symptom, ...]:
        """All symptoms, the changed ones in place of the sample's."""
        changed = {s.word: s for s in self.changed}
        return tuple(changed.get(s.word, s) for s in SYMPTOMS)


def _plain(word: str, chance: float = BACKGROUND) -> Symptom:
    """A symptom with one rate for all models and all years."""
    return replace(SYMPTOM_OF[word], chance=chance, by_model=(1.0, 1.0, 1.0), trend=1.0)


def _extra(effect: float) -> float:
    """Extra chance that multiplies the background rate by an effect, at most 0.8."""
    return min((effect - 1) * BACKGROUND, 0.8)


def _hull_lot(symptom: str, at: float, effect: float, low: float = 25, high: float = 60) -> Cause:
    def cause(built: Built) -> Planted:
        hull, lot, _ = built.uses("hull", GELCOAT_SPRAY, "gelcoat")
        level = pick(built, hull, lot, at, low, high)
        exposed = built.among(hull[lot == level])
        return Planted(
            symptom,
            "planted",
            (("hull: gelcoat spray: gelcoat lot", level),),
            f"One hull gelcoat lot; its hulls fail about {effect:g} times as often.",
            np.where(exposed, _extra(effect), 0.0),
            SYMPTOM_OF[symptom].age,
            exposed=exposed,
        )

    return cause


def _one_drum(built: Built) -> Planted:
    hull, lot, drum = built.uses("hull", GELCOAT_SPRAY, "gelcoat")
    level = pick(built, hull, np.array(lot + "/" + drum, dtype=object), 0.4, 6, 14)
    exposed = built.among(hull[(lot + "/" + drum) == level])
    return Planted(
        "porosity",
        "planted",
        (("hull: gelcoat spray: gelcoat drum", level),),
        f"One drum of hull gelcoat; its hulls fail about {DRUM_EFFECT:g} times as often.",
        np.where(exposed, _extra(DRUM_EFFECT), 0.0),
        SYMPTOM_OF["porosity"].age,
        exposed=exposed,
    )


def _mold(symptom: str, model: str, effect: float) -> Cause:
    def cause(built: Built) -> Planted:
        molds = built.schedule.parts["hull"].mold_no
        level = f"{model}-H1"
        exposed = molds == level
        return Planted(
            symptom,
            "planted",
            (("hull: mold", level),),
            f"One hull mold; its hulls fail about {effect:g} times as often.",
            np.where(exposed, _extra(effect), 0.0),
            SYMPTOM_OF[symptom].age,
            exposed=exposed,
        )

    return cause


def _supplier(built: Built) -> Planted:
    pumps = next(f for f in built.fitted if f.component == "bilge pump")
    exposed = built.among(pumps.hull[pumps.supplier == "V-92"])
    return Planted(
        "bilge pump failure",
        "planted",
        (("hull: bilge pump: supplier", "V-92"),),
        f"Pumps of one supplier, all lots, fail about {SUPPLIER_EFFECT:g} times as often.",
        np.where(exposed, (SUPPLIER_EFFECT - 1) * 0.03, 0.0),
        SYMPTOM_OF["bilge pump failure"].age,
        exposed=exposed,
    )


def _spell(built: Built) -> Planted:
    width = SPELL_WEEKS / CALENDAR_WEEKS
    exposed = causes.built_between(built, 0.40, 0.40 + width)
    return Planted(
        "porosity",
        "nothing",
        (),
        f"Hulls sprayed in {SPELL_WEEKS:g} weeks fail about {SPELL_EFFECT:g} times as often, for "
        "a reason that no record holds. No recorded factor is the cause.",
        np.where(exposed, _extra(SPELL_EFFECT), 0.0),
        SYMPTOM_OF["porosity"].age,
        exposed=exposed,
    )


def _scenarios() -> tuple[Scenario, ...]:
    sample = Scenario(
        "sample",
        "Five causes, a decoy and a symptom with no cause, in a shop's own dirty exports.",
        (
            causes.thin_gelcoat_lot,
            causes.cold_catalyst,
            causes.bad_mold,
            causes.busy_sprayer,
            causes.hose_lot,
            causes.weekend_gap,
            causes.nothing(
                "steering stiffness",
                "Same rate for every hull; anything that stands out is chance.",
            ),
        ),
        cold_pump=True,
        lost_lots=(0.04, 0.04),
        dirty=True,
    )
    flat = tuple(_plain(s.word, s.chance) for s in SYMPTOMS)
    none = causes.nothing
    porosity = (_plain("porosity"),)
    differ = replace(SYMPTOM_OF["cracking"], chance=0.04, by_model=(0.2, 0.8, 2.4), trend=1.0)
    return (
        sample,
        Scenario(
            "no-cause",
            "No symptom has a cause; no rate differs by model or period.",
            (none("porosity", "No cause."), none("cracking", "No cause.")),
            flat,
        ),
        Scenario(
            "models-differ",
            "No cause, but the rate of cracking differs 12-fold between models.",
            (none("cracking", "Rates differ 12-fold by model (S18, S22, S26); no other cause."),),
            (differ,),
        ),
        Scenario(
            "bad-spell",
            "Porosity is seven times as common for ten weeks, for no recorded reason.",
            (_spell,),
            porosity,
        ),
        Scenario(
            "one-lot",
            "One hull gelcoat lot makes porosity 15 times as common.",
            (_hull_lot("porosity", 0.4, LOT_EFFECT),),
            porosity,
        ),
        Scenario(
            "one-drum",
            "One drum of hull gelcoat makes porosity 40 times as common.",
            (_one_drum,),
            porosity,
        ),
        Scenario(
            "one-mold",
            "One hull mold makes voids 4 times as common.",
            (_mold("void", "S18", MOLD_EFFECT),),
            (_plain("void"),),
        ),
        Scenario(
            "supplier",
            "Bilge pumps of one of two suppliers fail 3 times as often.",
            (_supplier,),
            (_plain("bilge pump failure", 0.03),),
        ),
        Scenario(
            "two-causes",
            "Cracking has two causes: a gelcoat lot (15 times) and a mold (4 times).",
            (_hull_lot("cracking", 0.4, LOT_EFFECT), _mold("cracking", "S22", MOLD_EFFECT)),
            (_plain("cracking"),),
        ),
        Scenario(
            "immature",
            "Half of the hulls were built in the last months; a recent lot is the cause.",
            (_hull_lot("porosity", 0.62, LOT_EFFECT),),
            porosity,
            late_share=0.5,
        ),
        Scenario(
            "missing-records",
            "As one-lot, with 13 % of gelcoat lots not written down, 40 % for affected hulls.",
            (_hull_lot("porosity", 0.4, LOT_EFFECT),),
            porosity,
            lost_lots=(0.13, 0.40),
        ),
    )


SCENARIO_OF: dict[str, Scenario] = {s.name: s for s in _scenarios()}
SCENARIOS: tuple[str, ...] = tuple(SCENARIO_OF)

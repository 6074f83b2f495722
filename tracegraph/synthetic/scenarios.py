"""The made-up histories that can be asked for by name."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tracegraph.synthetic import trial_causes as trial
from tracegraph.synthetic.causes import Cause, nothing
from tracegraph.synthetic.sample_causes import SAMPLE_CAUSES
from tracegraph.synthetic.symptoms import SYMPTOM_OF, SYMPTOMS, Symptom


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
    miscoded : tuple of float
        Share of the planted symptom's claims filed under another word, and share of its
        claims that are really of another kind.
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
    miscoded: tuple[float, float] = (0.0, 0.0)
    dirty: bool = False

    def symptoms(self) -> tuple[Symptom, ...]:
        """All symptoms, the changed ones in place of the sample's."""
        changed = {s.word: s for s in self.changed}
        return tuple(changed.get(s.word, s) for s in SYMPTOMS)


def _plain(word: str, chance: float = trial.BACKGROUND) -> Symptom:
    """A symptom with one rate for all models and all years."""
    return replace(SYMPTOM_OF[word], chance=chance, by_model=(1.0, 1.0, 1.0), trend=1.0)


_POROSITY = (_plain("porosity"),)
_ONE_LOT = (trial.hull_lot("porosity"),)
_DIFFER = replace(SYMPTOM_OF["cracking"], chance=0.09, by_model=(0.2, 0.8, 2.4), trend=1.0)
_NO_CAUSE = "No cause, and the same rate for every hull."

_SCENARIOS: tuple[Scenario, ...] = (
    Scenario(
        "sample",
        "Five causes, a decoy and a symptom with no cause, in a shop's own dirty exports.",
        SAMPLE_CAUSES,
        cold_pump=True,
        lost_lots=(0.04, 0.04),
        dirty=True,
    ),
    Scenario(
        "no-cause",
        "No symptom has a cause; no rate differs by model or period.",
        tuple(nothing(s.word, _NO_CAUSE) for s in SYMPTOMS),
        tuple(_plain(s.word, s.chance) for s in SYMPTOMS),
    ),
    Scenario(
        "models-differ",
        "No cause, but the rate of cracking differs 12-fold between models.",
        (nothing("cracking", "Rates differ 12-fold by model, S18 to S26; nothing else does."),),
        (_DIFFER,),
    ),
    Scenario(
        "bad-spell",
        "Porosity is seven times as common for ten weeks, for no recorded reason.",
        (trial.bad_spell,),
        _POROSITY,
    ),
    Scenario("one-lot", "One hull gelcoat lot: porosity, 15 times.", _ONE_LOT, _POROSITY),
    Scenario(
        "small-lot",
        "One hull gelcoat lot of 12 to 25 hulls: porosity, 15 times.",
        (trial.hull_lot("porosity", size=(12, 25)),),
        _POROSITY,
    ),
    Scenario(
        "one-drum", "One drum of hull gelcoat: porosity, 40 times.", (trial.one_drum,), _POROSITY
    ),
    Scenario(
        "one-mold", "One hull mold: voids, 4 times.", (trial.one_mold("void"),), (_plain("void"),)
    ),
    Scenario(
        "worn-mold",
        "Hull molds due for waxing: voids, 6 times.",
        (trial.worn_mold,),
        (_plain("void"),),
    ),
    Scenario(
        "humid-days",
        "The dampest tenth of hull sprays: porosity, 4 times.",
        (trial.humid_days,),
        _POROSITY,
    ),
    Scenario(
        "supplier",
        "Bilge pumps of one of two suppliers: failures, 3 times.",
        (trial.pump_supplier,),
        (_plain("bilge pump failure"),),
    ),
    Scenario(
        "pair",
        "One supplier's skin resin under another's roving: delamination, 6 times.",
        (trial.supplier_pair,),
        (_plain("delamination"),),
    ),
    Scenario(
        "two-causes",
        "Cracking from a gelcoat lot (15 times) and, apart from it, a mold (4 times).",
        (trial.hull_lot("cracking"), trial.one_mold("cracking")),
        (_plain("cracking"),),
    ),
    Scenario(
        "immature",
        "Half of the hulls were built in the last months; a recent lot is the cause.",
        (trial.hull_lot("porosity", (0.42, 0.50)),),
        _POROSITY,
        late_share=0.5,
    ),
    Scenario(
        "missing-records",
        "As one-lot, with 13 % of gelcoat lots not written down, 40 % on hulls with claims.",
        _ONE_LOT,
        _POROSITY,
        lost_lots=(0.13, 0.40),
    ),
    Scenario(
        "miscoded",
        "As one-lot, with a fifth of its claims under another word and a quarter alien.",
        _ONE_LOT,
        _POROSITY,
        miscoded=(0.20, 0.25),
    ),
)

SCENARIO_OF: dict[str, Scenario] = {s.name: s for s in _SCENARIOS}
SCENARIOS: tuple[str, ...] = tuple(SCENARIO_OF)
SCENARIO_LINES: dict[str, str] = {s.name: s.line for s in _SCENARIOS}

"""What goes wrong with boats without any cause worth finding: the background of claims.

Ages and safety classes follow trade practice (months quoted as typical, not measured).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Symptom:
    """One symptom word and how often it comes up.

    Attributes
    ----------
    word : str
        As the dealer desk writes it.
    chance : float
        Share of hulls with such a claim by 36 months in service, middle model.
    by_model : tuple of float
        Multiplier per model, S18 S22 S26.
    trend : float
        Multiplier of the last hull built against the first; 1 for no change.
    age : tuple of float
        First possible age, scale and shape of a Weibull law, in months in service.
    component : str
        What the claim names.
    zones : tuple of str
        Where on the boat.
    safety_class : int
        1 may hurt someone, 2 function or durability, 3 appearance.
    cost : float
        Middle cost of a claim.
    hours : float
        Middle labour hours.
    notes : tuple of str
        Dealer's words.
    """

    word: str
    chance: float
    by_model: tuple[float, float, float]
    trend: float
    age: tuple[float, float, float]
    component: str
    zones: tuple[str, ...]
    safety_class: int
    cost: float
    hours: float
    notes: tuple[str, ...]


HULL_ZONES = ("bottom", "port side", "starboard side", "transom")
DECK_ZONES = ("foredeck", "cockpit", "gunwale")

SYMPTOMS: tuple[Symptom, ...] = (
    Symptom(
        "blister", 0.016, (0.8, 1.0, 1.3), 0.8, (8, 22, 1.8), "hull", ("bottom",), 2, 2400, 30,
        ("blisters below waterline when hauled", "gellcoat blisterd on bottom", "see photos"),
    ),
    Symptom(
        "fading", 0.014, (1.0, 0.9, 1.2), 1.0, (5, 18, 1.6), "deck", DECK_ZONES, 3, 380, 5,
        ("deck chalky and dull", "YELLOWING ON DECK", "gelcoat fading, polish does not hold"),
    ),
    Symptom(
        "void", 0.012, (0.9, 1.0, 1.2), 1.0, (1, 9, 1.2), "hull",
        ("port chine", "starboard chine", "transom"), 2, 620, 8,
        ("void opened up at chine", "air pocket behind gelcoat, broke through", "see photos"),
    ),
    Symptom(
        "fuel smell", 0.006, (1.0, 1.0, 1.1), 1.0, (0, 10, 1.1), "fuel hose", ("fuel",), 1, 410, 4,
        ("smell of fuel in bilge", "customer reports fuel odour below deck"),
    ),
    Symptom(
        "delamination", 0.012, (0.8, 1.0, 1.3), 0.9, (4, 20, 1.5), "hull",
        ("bottom", "port side", "starboard side"), 2, 3100, 38,
        ("sounding shows skin loose", "hull side flexes, skin delaminated"),
    ),
    Symptom(
        "steering stiffness", 0.060, (1.0, 1.0, 1.0), 1.0, (0, 14, 1.1), "steering cable",
        ("helm",), 1, 260, 3,
        ("steering stiff after layup", "helm hard to turn to port"),
    ),
    Symptom(
        "cracking", 0.160, (0.6, 1.0, 2.0), 0.7, (2, 14, 1.3), "deck",
        ("foredeck", "cockpit", "gunwale", "transom"), 3, 540, 7,
        ("spider cracks at rail base", "stress cracks in cockpit corner", "see photos"),
    ),
    Symptom(
        "porosity", 0.070, (1.2, 1.0, 0.8), 1.2, (0, 5, 1.1), "hull", HULL_ZONES, 3, 330, 5,
        ("pinholes in gelcoat", "porosity found at prep"),
    ),
    Symptom(
        "print-through", 0.060, (0.7, 1.0, 1.6), 1.0, (0, 7, 1.2), "hull",
        ("port side", "starboard side"), 3, 450, 6,
        ("weave shows through on dark hull", "hull side looks wavy"),
    ),
    Symptom(
        "bond separation", 0.032, (0.6, 1.0, 1.5), 0.8, (3, 18, 1.4), "grid",
        ("bilge", "hull-deck joint"), 2, 1900, 24,
        ("grid debonded near bulkhead", "leak at hull-deck joint"),
    ),
    Symptom(
        "through-hull leak", 0.070, (0.9, 1.0, 1.2), 0.8, (0, 8, 1.0), "through-hull",
        ("bilge", "transom"), 1, 240, 3,
        ("drip at through-hull", "water in bilge, traced to fitting"),
    ),
    Symptom(
        "bilge pump failure", 0.100, (1.1, 1.0, 0.9), 1.0, (0, 15, 1.1), "bilge pump",
        ("bilge",), 1, 190, 2,
        ("pump dead, replaced", "float switch stuck"),
    ),
    Symptom(
        "electrical fault", 0.280, (0.6, 1.0, 1.5), 0.8, (0, 12, 1.0), "wiring",
        ("console", "bilge", "foredeck"), 2, 210, 3,
        ("corroded connection", "nav light out", "breaker trips"),
    ),
    Symptom(
        "livewell leak", 0.090, (0.0, 1.0, 1.1), 1.0, (0, 9, 1.1), "livewell fitting",
        ("cockpit",), 2, 170, 2,
        ("livewell drains down overnight", "barb loose at livewell"),
    ),
    Symptom(
        "hatch leak", 0.120, (0.8, 1.0, 1.3), 0.9, (0, 9, 1.1), "hatch",
        ("foredeck", "cockpit"), 2, 160, 2,
        ("hatch leaks at hinge side", "wet locker"),
    ),
    Symptom(
        "loose hardware", 0.140, (0.9, 1.0, 1.2), 1.0, (1, 13, 1.1), "hardware",
        ("gunwale", "foredeck", "transom"), 3, 110, 1,
        ("rail stanchion loose", "cleat backed out"),
    ),
    Symptom(
        "upholstery split", 0.130, (0.8, 1.0, 1.3), 1.0, (2, 14, 1.4), "upholstery",
        ("cockpit", "helm"), 3, 230, 1,
        ("seam split on lounge", "vinyl split at corner"),
    ),
)  # fmt: skip
SYMPTOM_OF: dict[str, Symptom] = {s.word: s for s in SYMPTOMS}

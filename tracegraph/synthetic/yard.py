"""The fixed plant of the sample yard: models, molds, steps, stations, machines, people codes.

Nothing here is real. Times follow common practice: 18 to 72 hours in the mold, up to a day
between gelcoat and skin coat.
"""

from __future__ import annotations

from dataclasses import dataclass

MAKER_CODE = "QZX"  # never checked against a register: synthetic wherever it is printed


@dataclass(frozen=True)
class Model:
    """One boat model.

    Attributes
    ----------
    name : str
        Model name.
    share : float
        Its share of the builds.
    size : float
        Material needed, against the middle model.
    tank_gal : int
        Capacity of the fuel tank.
    molds : dict of str to int
        How many molds each part has, in a plant of the sample's size.
    """

    name: str
    share: float
    size: float
    tank_gal: int
    molds: dict[str, int]


MODELS: tuple[Model, ...] = (
    Model("S18", 0.35, 0.70, 30, {"hull": 2, "deck": 2, "grid": 2, "hatch": 1}),
    Model("S22", 0.40, 1.00, 60, {"hull": 3, "deck": 2, "grid": 2, "hatch": 2}),
    Model("S26", 0.25, 1.35, 90, {"hull": 2, "deck": 2, "grid": 2, "hatch": 1}),
)

COLOURS: tuple[tuple[str, float], ...] = (("white", 0.70), ("navy", 0.18), ("sand", 0.12))


@dataclass(frozen=True)
class Step:
    """One step on a part, in minutes of working time.

    Attributes
    ----------
    name : str
        Step name.
    wait : tuple of int
        Shortest and longest wait after the step before.
    length : tuple of int
        Shortest and longest duration.
    overnight : float
        Share of parts that wait for another shift on top.
    """

    name: str
    wait: tuple[int, int]
    length: tuple[int, int]
    overnight: float = 0.0


GELCOAT_SPRAY = "gelcoat spray"

PART_STEPS: dict[str, tuple[Step, ...]] = {
    "hull": (
        Step("mold prep", (0, 0), (50, 90)),
        Step(GELCOAT_SPRAY, (10, 60), (35, 60)),
        Step("skin coat", (75, 200), (60, 110), overnight=0.45),
        Step("laminate", (150, 420), (180, 300)),
        Step("pull", (560, 1100), (25, 45)),
    ),
    "deck": (
        Step("mold prep", (0, 0), (45, 80)),
        Step(GELCOAT_SPRAY, (10, 60), (30, 50)),
        Step("skin coat", (75, 200), (50, 90), overnight=0.40),
        Step("laminate", (120, 360), (150, 260)),
        Step("pull", (520, 1000), (20, 40)),
    ),
    "grid": (
        Step("mold prep", (0, 0), (30, 50)),
        Step(GELCOAT_SPRAY, (10, 40), (15, 30)),
        Step("laminate", (90, 240), (90, 160)),
        Step("pull", (480, 800), (15, 30)),
    ),
    "hatch": (
        Step(GELCOAT_SPRAY, (0, 0), (8, 15)),
        Step("laminate", (75, 180), (25, 45)),
        Step("pull", (240, 480), (5, 12)),
    ),
}
PARTS: tuple[str, ...] = tuple(PART_STEPS)
PART_LETTER = {"hull": "H", "deck": "D", "grid": "G", "hatch": "T"}

STATION_OF: dict[tuple[str, str], str] = {
    ("hull", GELCOAT_SPRAY): "Booth 1",
    ("deck", GELCOAT_SPRAY): "Booth 2",
    ("grid", GELCOAT_SPRAY): "Booth 2",
    ("hatch", GELCOAT_SPRAY): "Booth 2",
    ("", "bond grid"): "Assembly",
    ("", "bond deck"): "Assembly",
    ("", "rig"): "Rigging",
    ("", "water test"): "Tank",
}
LAMINATING_HALL = "Lam hall"
LOGGED_STATIONS: tuple[str, ...] = ("Booth 1", "Booth 2", LAMINATING_HALL)

EQUIPMENT_OF: dict[tuple[str, str], tuple[str, ...]] = {
    ("hull", GELCOAT_SPRAY): ("GC-1", "GC-2"),
    ("deck", GELCOAT_SPRAY): ("GC-3", "GC-4"),
    ("grid", GELCOAT_SPRAY): ("GC-3", "GC-4"),
    ("hatch", GELCOAT_SPRAY): ("GC-5", "GC-6"),
    ("hull", "skin coat"): ("CH-1", "CH-2", "CH-3"),
    ("deck", "skin coat"): ("CH-1", "CH-2", "CH-3"),
    ("hull", "laminate"): ("RP-1", "RP-2", "RP-3"),
    ("deck", "laminate"): ("RP-1", "RP-2", "RP-3"),
    ("grid", "laminate"): ("RP-4", "RP-5"),
    ("hatch", "laminate"): ("RP-4", "RP-5"),
    ("", "bond grid"): ("AD-1", "AD-2", "AD-3"),
    ("", "bond deck"): ("AD-1", "AD-2", "AD-3"),
}
COLD_PUMP = "GC-3"  # loses catalyst when its booth is cold, in scenarios that say so

TEAM_OF: dict[str, str] = {
    "mold prep": "MP",
    GELCOAT_SPRAY: "SP",
    "skin coat": "LM",
    "laminate": "LM",
    "pull": "MP",
    "bond grid": "AS",
    "bond deck": "AS",
    "rig": "RG",
    "water test": "QC",
}
TEAM_SIZE = {"MP": 4, "SP": 3, "LM": 6, "AS": 3, "RG": 4, "QC": 2}  # per crew; two crews
LEAD_SPRAYER = "SP-07"  # floats between the crews
HARD_MOLD = "S22-H2"  # deep chine, tight radius: the lead sprayer's usual mold
DEALERS = 24

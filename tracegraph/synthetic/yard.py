"""The fixed plant of the sample yard: models, molds, stations, people codes, materials.

Nothing here is real. Quantities follow common practice for open-molded boats of 18 to 26
feet: 40 to 60 lb of gelcoat on a hull, drums of 500 lb, 18 to 72 hours in the mold.
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
    ("hatch", GELCOAT_SPRAY): ("GC-5",),
    ("hull", "skin coat"): ("CH-1", "CH-2"),
    ("deck", "skin coat"): ("CH-1", "CH-2"),
    ("hull", "laminate"): ("RP-1", "RP-2"),
    ("deck", "laminate"): ("RP-1", "RP-2"),
    ("grid", "laminate"): ("RP-3",),
    ("hatch", "laminate"): ("RP-3",),
    ("", "bond grid"): ("AD-1",),
    ("", "bond deck"): ("AD-2",),
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
TEAM_SIZE = {"MP": 2, "SP": 3, "LM": 5, "AS": 3, "RG": 4, "QC": 2}  # per crew; two crews
LEAD_SPRAYER = "SP-07"  # floats between the crews
DEALERS = 24


@dataclass(frozen=True)
class Supply:
    """How one material is bought and used.

    Attributes
    ----------
    material : str
        Its name in the records.
    prefix : str
        How its lot numbers begin.
    unit : str
        Unit of quantities.
    drum : float
        Content of one drum; 0 when it comes loose.
    lot : float
        Middle lot size at the sample's plant size, in that unit.
    life_days : int
        Shelf life.
    suppliers : tuple of str
        Codes of its suppliers.
    """

    material: str
    prefix: str
    unit: str
    drum: float
    lot: float
    life_days: int
    suppliers: tuple[str, ...]


GELCOATS: dict[str, Supply] = {
    "white": Supply("gelcoat", "GW", "lb", 500, 2600, 120, ("V-11", "V-14")),
    "navy": Supply("gelcoat", "GN", "lb", 500, 1300, 120, ("V-11",)),
    "sand": Supply("gelcoat", "GS", "lb", 500, 1000, 120, ("V-14",)),
    "deck": Supply("gelcoat", "GD", "lb", 500, 2400, 120, ("V-11", "V-14")),
}
CATALYST = Supply("catalyst", "CT", "lb", 40, 120, 365, ("V-20",))
SUPPLIES: dict[str, Supply] = {
    "release wax": Supply("release wax", "RW", "lb", 0, 60, 720, ("V-31",)),
    "skin resin": Supply("skin resin", "VE", "lb", 450, 3800, 180, ("V-41", "V-42")),
    "chopped glass": Supply("chopped glass", "CG", "lb", 0, 4200, 720, ("V-51",)),
    "laminating resin": Supply("laminating resin", "LR", "lb", 2300, 16000, 180, ("V-41", "V-43")),
    "woven roving": Supply("woven roving", "WR", "lb", 0, 7000, 720, ("V-51", "V-52")),
    "core": Supply("core", "CR", "lb", 0, 1700, 1080, ("V-61",)),
    "filler": Supply("filler", "FL", "lb", 50, 700, 720, ("V-71",)),
    "adhesive": Supply("adhesive", "MA", "lb", 45, 900, 270, ("V-81", "V-82")),
}

POUNDS: dict[tuple[str, str, str], float] = {
    # part, step, material: pounds on the middle model; "" is the hull as a whole
    ("hull", GELCOAT_SPRAY, "gelcoat"): 46,
    ("deck", GELCOAT_SPRAY, "gelcoat"): 34,
    ("grid", GELCOAT_SPRAY, "gelcoat"): 12,
    ("hatch", GELCOAT_SPRAY, "gelcoat"): 2,
    ("hull", "mold prep", "release wax"): 0.8,
    ("deck", "mold prep", "release wax"): 0.6,
    ("hull", "skin coat", "skin resin"): 52,
    ("deck", "skin coat", "skin resin"): 38,
    ("hull", "skin coat", "chopped glass"): 24,
    ("deck", "skin coat", "chopped glass"): 18,
    ("hull", "laminate", "laminating resin"): 230,
    ("deck", "laminate", "laminating resin"): 150,
    ("grid", "laminate", "laminating resin"): 70,
    ("hatch", "laminate", "laminating resin"): 8,
    ("hull", "laminate", "woven roving"): 150,
    ("deck", "laminate", "woven roving"): 95,
    ("grid", "laminate", "woven roving"): 40,
    ("deck", "laminate", "core"): 42,
    ("", "bond grid", "bonding putty"): 24,
    ("", "bond deck", "adhesive"): 19,
}
TANK_FILL = 3400.0  # pounds of laminating resin in one fill of the day tank
PUTTY_BATCH = 190.0  # pounds of bonding putty mixed at a time


@dataclass(frozen=True)
class Fitting:
    """One kind of bought component.

    Attributes
    ----------
    component : str
        Its name in the records.
    prefix : str
        How its lot numbers begin.
    lot : int
        Middle lot size, in pieces, at the sample's plant size.
    suppliers : tuple of str
        Supplier codes.
    models : tuple of str
        Models that take it.
    serial : bool
        Whether each piece has its own serial.
    """

    component: str
    prefix: str
    lot: int
    suppliers: tuple[str, ...]
    models: tuple[str, ...]
    serial: bool = False


FITTINGS: tuple[Fitting, ...] = (
    Fitting("bilge pump", "BP", 90, ("V-91", "V-92"), ("S18", "S22", "S26"), serial=True),
    Fitting("fuel hose", "FH", 42, ("V-93", "V-94"), ("S22", "S26")),
    Fitting("fuel hose", "FK", 70, ("V-93",), ("S18",)),
    Fitting("fuel tank", "TK", 60, ("V-95",), ("S18", "S22", "S26"), serial=True),
    Fitting("steering cable", "SC", 75, ("V-96", "V-97"), ("S18", "S22")),
    Fitting("livewell fitting", "LW", 60, ("V-98",), ("S22", "S26")),
)

"""What the yard buys: materials by the drum or loose, and components by the piece.

Suppliers are codes. Quantities follow common practice for open-molded boats of 18 to 26 feet:
40 to 60 lb of gelcoat on a hull, drums of 500 lb, lots of a few drums.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracegraph.synthetic.yard import GELCOAT_SPRAY


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

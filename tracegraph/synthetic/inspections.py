"""Checks on parts and hulls: a failed try stays in the records beside the pass after it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tracegraph.synthetic.chance import Chance
from tracegraph.synthetic.hulls import Hulls
from tracegraph.synthetic.schedule import Schedule
from tracegraph.synthetic.stock import Texts
from tracegraph.synthetic.weather import Values
from tracegraph.synthetic.workdays import Minutes
from tracegraph.synthetic.yard import MODELS

AFLOAT_MINUTES = 30.0
FUEL_TEST_PSI = 3.0  # 33 CFR 183.542: the greater of 3 psi and 1.5 x the head at overflow


def hold_minutes(gallons: int) -> int:
    """Shortest hold of a fuel system's pressure test, in minutes (33 CFR 183.582).

    >>> [hold_minutes(g) for g in (20, 50, 51, 60, 61, 75, 120)]
    [5, 5, 6, 6, 7, 8, 12]
    """
    return 5 + -(-max(0, gallons - 50) // 10)


@dataclass(frozen=True)
class Check:
    """One checkpoint.

    Attributes
    ----------
    name : str
        Checkpoint.
    part : str
        Kind of part checked; "" for the hull.
    after : str
        Step after which it is done.
    fails : float
        Share of first tries that fail.
    defects : tuple of str
        Words for what is found.
    zones : tuple of str
        Where.
    """

    name: str
    part: str
    after: str
    fails: float
    defects: tuple[str, ...]
    zones: tuple[str, ...]


CHECKS: tuple[Check, ...] = (
    Check(
        "hull inspection",
        "hull",
        "pull",
        0.11,
        ("porosity", "pre-release", "dry spot", "alligatoring", "void"),
        ("bow", "port side", "starboard side", "transom", "bottom", "port chine"),
    ),
    Check(
        "deck inspection",
        "deck",
        "pull",
        0.10,
        ("porosity", "pre-release", "dry spot", "fish eyes"),
        ("foredeck", "cockpit", "gunwale"),
    ),
    Check("fuel pressure test", "", "rig", 0.03, ("leak at fitting", "leak at clamp"), ("fuel",)),
    Check("bilge pump test", "", "rig", 0.02, ("float switch", "no flow"), ("bilge",)),
    Check("water test", "", "water test", 0.04, ("weep", "drip"), ("through-hull", "hatch")),
    Check("final inspection", "", "water test", 0.08, ("gel scratch", "hardware", "wiring"), ("",)),
)


def inspect(
    chance: Chance, schedule: Schedule, hulls: Hulls, part_serial: dict[str, Texts]
) -> pd.DataFrame:
    """Rows of the ``inspections`` table, times in clock minutes."""
    frames = []
    n = schedule.model.size
    for check in CHECKS:
        rng = chance.of("inspect " + check.name)
        finish = schedule.parts[check.part].finish if check.part else schedule.finish
        at = finish[check.after] + rng.integers(20, 180, n)
        failed = rng.random(n) < check.fails
        skipped = rng.random(n) < 0.004
        tries = [np.arange(n), np.flatnonzero(failed)]
        for attempt, row in enumerate(tries, start=1):
            bad = failed[row] if attempt == 1 else np.zeros(row.size, dtype=bool)
            result = np.where(bad, "fail", "pass")
            if attempt == 1:
                result = np.where(skipped[row] & ~bad, "not done", result)
            frames.append(
                _rows(rng, check, hulls, part_serial, row, attempt, at[row], result, schedule)
            )
    table = pd.concat(frames, ignore_index=True).sort_values("at", kind="stable")
    table.insert(0, "inspection_id", [f"I{k:06d}" for k in range(1, len(table) + 1)])
    return table.reset_index(drop=True)


def _rows(
    rng: np.random.Generator,
    check: Check,
    hulls: Hulls,
    part_serial: dict[str, Texts],
    row: np.ndarray[tuple[int], np.dtype[np.int64]],
    attempt: int,
    at: Minutes,
    result: np.ndarray[tuple[int], np.dtype[np.str_]],
    schedule: Schedule,
) -> pd.DataFrame:
    count = row.size
    bad = result == "fail"
    defects = np.array(check.defects, dtype=object)[rng.integers(0, len(check.defects), count)]
    zones = np.array(check.zones, dtype=object)[rng.integers(0, len(check.zones), count)]
    blank = np.full(count, "", dtype=object)
    value, unit = _value(check, result)
    return pd.DataFrame(
        {
            "part_serial": part_serial[check.part][row] if check.part else blank,
            "hull_serial": blank if check.part else hulls.serial[row],
            "checkpoint": check.name,
            "at": at + (attempt - 1) * 150,
            "inspector": np.array(["QC-01", "QC-02", "QC-03", "QC-04"], dtype=object)[
                rng.integers(0, 4, count)
            ],
            "result": result.astype(object),
            "value": value,
            "unit": np.where(np.isnan(value), "", unit),
            "defect": np.where(bad, defects, ""),
            "zone": np.where(bad, zones, ""),
            "attempt": attempt,
            "note": _note(check, schedule.model[row]),
        }
    )


def _value(check: Check, result: np.ndarray[tuple[int], np.dtype[np.str_]]) -> tuple[Values, str]:
    """Pressure at the end of the hold, which must not have dropped, or minutes afloat."""
    if check.name == "fuel pressure test":
        end = np.where(result == "pass", FUEL_TEST_PSI, FUEL_TEST_PSI - 0.5)
        return np.where(result == "not done", np.nan, end), "psi"
    if check.name == "water test":
        return np.where(result == "not done", np.nan, AFLOAT_MINUTES), "min"
    return np.full(result.size, np.nan), ""


def _note(check: Check, model: Minutes) -> Texts:
    """How long the pressure was held."""
    if check.name != "fuel pressure test":
        return np.full(model.size, "", dtype=object)
    held = np.array([f"held {hold_minutes(m.tank_gal)} min" for m in MODELS], dtype=object)
    text: Texts = held[model]
    return text

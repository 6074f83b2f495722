"""Pressure tests of fuel systems held against their rule: each try, and a family of the verdict.

The records of a try are an operation of the hull with the step ``fuel pressure test`` and
readings of ``start_pressure``, ``end_pressure``, ``hold_time``, ``tank_capacity`` and
``overflow_height``; a check of the same name with its result; and a check ``fuel fittings
check``. All of one try carry its attempt.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import pandas as pd

from tracegraph.domain.fuel_rule import (
    FITTINGS_CHECK,
    FUEL_TEST,
    KPA_PER_PSI,
    FuelTest,
    verdict,
)
from tracegraph.store import Build, Connection

NOT_DONE = "not done"
BY_THE_RULE = "by the rule"
"""Thing of the family: ``hull: fuel pressure test: by the rule``."""

_PSI = {"psi": 1.0, "kPa": 1.0 / KPA_PER_PSI}
_MINUTES = {"min": 1.0, "h": 60.0}
_GALLONS = {"gal": 1.0, "L": 1.0 / 3.785411784}
_FEET = {"ft": 1.0, "m": 1.0 / 0.3048, "um": 1.0 / 304_800.0}


@dataclass(frozen=True)
class FuelTry:
    """One try at the pressure test of a hull's fuel system.

    Attributes
    ----------
    hull_id : int
        Number of the hull.
    attempt : int
        Which try.
    at : datetime
        When, UTC.
    result : str or None
        pass, fail or not done, as checked; None when no check is on record.
    measured : bool
        Whether the work has a record of its own, with readings or without.
    test : FuelTest
        The numbers that the rule asks about.
    """

    hull_id: int
    attempt: int
    at: datetime
    result: str | None
    measured: bool
    test: FuelTest

    @property
    def done(self) -> bool:
        """Whether the test was done at this try."""
        return self.result != NOT_DONE


def fuel_tries(session: Connection, hull_id: int | None = None) -> list[FuelTry]:
    """Every try at the pressure test of the fuel system.

    Parameters
    ----------
    session : Connection
        Line to a store or a build with linked records.
    hull_id : int, optional
        One hull; all when left out.

    Returns
    -------
    list of FuelTry
        In the order of hull and attempt. A value in a unit that is none of its quantity
        counts as not written down.
    """
    asked = {"test": FUEL_TEST, "fittings": FITTINGS_CHECK, "hull_id": hull_id}
    return [_try(row) for row in session.frame("exposure/fuel_tests", asked).to_dict("records")]


def add_fuel_verdicts(build: Build) -> bool:
    """Add the family of the rule's verdict to the answers gathered.

    The last try that was done counts. A hull whose tries were all left out is ``not
    done``; one whose record cannot show the rule is unknown. The family is asked only
    where the records of at least half of the hulls tested can tell, since elsewhere it
    would say no more than the result of the check.

    Parameters
    ----------
    build : Build
        Holds the temporary tables ``answers`` and ``hulls_in_question``, whose verdicts
        are added.

    Returns
    -------
    bool
        Whether the family is asked.
    """
    last: dict[int, FuelTry] = {}
    for tried in fuel_tries(build):
        if tried.done or tried.hull_id not in last:
            last[tried.hull_id] = tried
    levels = {hull: verdict(tried.test) if tried.done else NOT_DONE for hull, tried in last.items()}
    done = [levels[hull] for hull, tried in last.items() if tried.done]
    if 2 * sum(level is not None for level in done) < max(len(done), 1):
        return False
    told = pd.DataFrame(
        {
            "hull_id": pd.Series(list(levels), dtype="int32"),
            "level": pd.Series(list(levels.values()), dtype="str"),
            "step": FUEL_TEST,
            "thing": BY_THE_RULE,
        }
    )
    build.register("fuel_verdicts", told)
    build.run("exposure/add_fuel_verdicts")
    build.unregister("fuel_verdicts")
    return True


def _try(row: dict[Any, Any]) -> FuelTry:
    fittings = row["fittings"]
    return FuelTry(
        hull_id=int(row["hull_id"]),
        attempt=int(row["attempt"]),
        at=row["at"],
        result=None if pd.isna(row["result"]) else str(row["result"]),
        measured=bool(row["has_work"]),
        test=FuelTest(
            capacity_gal=_in(row, "tank_capacity", _GALLONS),
            head_ft=_in(row, "overflow_height", _FEET),
            start_psi=_in(row, "start_pressure", _PSI),
            end_psi=_in(row, "end_pressure", _PSI),
            held_minutes=_in(row, "hold_time", _MINUTES),
            fittings_checked=None if pd.isna(fittings) else fittings == "pass",
        ),
    )


def _in(row: dict[Any, Any], quantity: str, units: dict[str, float]) -> float | None:
    value, unit = row[quantity], row[f"{quantity}_unit"]
    if pd.isna(value) or unit not in units or value < 0:
        return None
    # 50 gallons kept as litres are 50 again, and not a part of 10 more.
    return round(float(value) * units[unit], 6)

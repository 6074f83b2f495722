from __future__ import annotations

import numpy as np

from tests.synthetic.conftest import Yard
from tracegraph.domain.records import RESULTS
from tracegraph.synthetic.inspections import CHECKS, inspect


def test_a_failed_try_stays_and_a_pass_follows(yard: Yard) -> None:
    built = yard.built
    table = inspect(built.chance, built.schedule, built.hulls, built.part_serial)
    assert set(table["result"]) == set(RESULTS)
    unit = table["part_serial"].where(table["part_serial"] != "", table["hull_serial"])
    for check in CHECKS:
        mine = table["checkpoint"] == check.name
        first = table[mine & (table["attempt"] == 1)].set_index(
            unit[mine & (table["attempt"] == 1)]
        )
        second = table[mine & (table["attempt"] == 2)].set_index(
            unit[mine & (table["attempt"] == 2)]
        )
        assert len(first) == built.count
        failed = first[first["result"] == "fail"]
        assert set(second.index) == set(failed.index)
        assert (second["result"] == "pass").all()
        assert (second["at"] > failed["at"].loc[second.index]).all()
        assert (failed["defect"] != "").all()
        assert (first.loc[first["result"] != "fail", "defect"] == "").all()


def test_a_fuel_system_that_passed_held_its_pressure(yard: Yard) -> None:
    # 33 CFR 183.542: at least 3 psig; 183.582: any drop is a leak
    built = yard.built
    table = inspect(built.chance, built.schedule, built.hulls, built.part_serial)
    fuel = table[table["checkpoint"] == "fuel pressure test"]
    assert (fuel.loc[fuel["result"] == "pass", "value"] == 3.0).all()
    assert (fuel.loc[fuel["result"] == "fail", "value"] < 3.0).all()
    assert fuel.loc[fuel["result"] == "not done", "value"].isna().all()
    held = dict(zip(built.hulls.serial, built.hulls.model, strict=True))
    minutes = {"S18": "held 5 min", "S22": "held 6 min", "S26": "held 9 min"}  # 30, 60, 90 gal
    assert (fuel["note"] == fuel["hull_serial"].map(held).map(minutes)).all()


def test_checks_follow_the_work_they_check(yard: Yard) -> None:
    built = yard.built
    table = inspect(built.chance, built.schedule, built.hulls, built.part_serial)
    pulled = built.schedule.parts["hull"].finish["pull"]
    serial = dict(zip(built.part_serial["hull"], pulled, strict=True))
    mine = table[table["checkpoint"] == "hull inspection"]
    assert (mine["at"].to_numpy() > np.array([serial[s] for s in mine["part_serial"]])).all()
    assert table["inspection_id"].is_unique

"""How checks went becomes an answer of its own: skipped, repeated, failed, passed."""

from __future__ import annotations

import pytest

from tests.exposure.test_exposure import answers, deck_plant, derived
from tests.support.records import Row
from tracegraph.store import Build


def check(hull: str, results: str, checkpoint: str = "fuel test", **more: str) -> list[Row]:
    """One row per attempt at a check of one hull: p, f or n in the order of time."""
    words = {"p": "pass", "f": "fail", "n": "not done"}
    unit = {"hull_serial": hull} if not more else {}
    return [
        {
            "inspection_id": f"{checkpoint}-{hull}-{number}",
            "checkpoint": checkpoint,
            "at": f"2025-03-01 {7 + number:02d}:00",
            "result": words[letter],
            "attempt": number,
        }
        | unit
        | more
        for number, letter in enumerate(results, 1)
    ]


def plant(rows: list[Row], count: int = 4) -> Build:
    return derived(**deck_plant(count, ["L1"] * count, inspections=rows))


@pytest.mark.parametrize(
    ("results", "level"),
    [
        ("p", "pass first time"),
        ("np", "pass first time"),
        ("fp", "passed after a fail"),
        ("ffp", "passed after a fail"),
        ("pfp", "passed after a fail"),
        ("f", "failed"),
        ("pf", "failed"),
        ("fn", "failed"),
        ("n", "not done"),
    ],
)
def test_all_attempts_make_one_answer(results: str, level: str) -> None:
    rows = [row for hull in ("H1", "H2", "H3") for row in check(hull, results)]
    found = answers(plant(rows), "hull: fuel test: result")
    assert found == {"H1": {level}, "H2": {level}, "H3": {level}, "H4": {None}}


def test_a_check_of_few_hulls_is_asked_of_those_alone() -> None:
    assert set(answers(plant(check("H1", "p")), "hull: fuel test: result")) == {"H1"}


def test_a_check_of_a_part_bears_the_part_and_a_job_leads_to_its_hull() -> None:
    tables = deck_plant(
        2,
        ["L1", "L1"],
        inspections=[
            *check("H1", "fp", "barcol", part_serial="P-H1"),
            *check("H2", "p", "tank", job_no="J2"),
        ],
    )
    tables["hulls"][1]["job_no"] = "J2"
    build = derived(**tables)
    assert answers(build, "deck: barcol: result")["H1"] == {"passed after a fail"}
    assert answers(build, "hull: tank: result") == {"H1": {None}, "H2": {"pass first time"}}


def test_checks_stand_after_all_work_even_under_the_name_of_a_step() -> None:
    rows = check("H1", "p") + check("H1", "p", "gelcoat spray", part_serial="P-H1")
    build = plant(rows, count=1)
    stages = dict(build.rows("SELECT family, stage FROM families"))
    last_work = max(stage for family, stage in stages.items() if not family.endswith(": result"))
    assert {f for f, stage in stages.items() if stage > last_work} == {
        "hull: fuel test: result",
        "deck: gelcoat spray: result",
    }
    assert stages["deck: gelcoat spray: station"] == last_work
    kinds = dict(build.rows("SELECT family, kind FROM families"))
    assert kinds["hull: fuel test: result"] == "process reading"


def test_a_serial_that_two_hulls_share_leads_to_neither() -> None:
    tables = deck_plant(1, ["L1"], inspections=check("H9", "p"))
    tables["hulls"] += [{"hull_serial": "H9", "model": m} for m in ("S18", "S22")]
    build = derived(**tables)
    assert build.scalar("SELECT count(*) FROM families WHERE family LIKE '%: result'") == 0

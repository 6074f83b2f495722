"""A few new records give the exposure that all of them together give, without all the work."""

from __future__ import annotations

import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.intake.test_in_steps import assert_same, contents
from tests.intake.yard import Yard
from tracegraph.analysis.tracing import trace
from tracegraph.intake import finishing
from tracegraph.linkage import graph
from tracegraph.linkage.graph import grow_graph as grow
from tracegraph.store import StoreDirectory, open_store

HULLS, EARLIER = 36, 34
HEADERS = {
    "hulls": "hull_serial,model,dealer,completed_on,shipped_on",
    "parts": "part_serial,part,hull_serial,mold_no,pulled_at",
    "operations": "operation_id,step,part_serial,station,operator,crew,started_at,finished_at",
    "usages": "operation_id,material,lot_no,drum_no,quantity,unit",
    "readings": "operation_id,quantity,value,unit",
    "ambient": "station,at,quantity,value,unit",
    "lots": "material,lot_no,supplier,made_on",
    "blends": "material,lot_no,parent_material,parent_lot_no,share",
    "mold_events": "mold_no,at,event,pull_no",
    "components": "hull_serial,component,serial_no,supplier,lot_no,fitted_at,fitted_by",
    "inspections": "inspection_id,part_serial,checkpoint,at,result",
    "claims": "claim_no,hull_serial,opened_on,symptom",
}


def records_of(n: int) -> dict[str, list[str]]:
    """All records about one hull; the later, the higher its number."""
    day = date(2025, 1, 1) + timedelta(days=n)
    rows: dict[str, list[str]] = {
        "hulls": [f"BT-{n:02},S{22 + n % 2},D-{n % 2},{day + timedelta(20)},{day + timedelta(30)}"],
        "parts": [f"P-{n:02},deck,BT-{n:02},M-{n % 3},{day} 09:00"],
        "operations": [
            f"{step[0]}-{n:02},{step},P-{n:02},Booth {n % 2},SP-{n % 3},A,"
            f"{day} 0{hour}:00,{day} 0{hour}:{30 + n % 7}"
            for hour, step in ((5, "gelcoat spray"), (6, "laminate"))
        ],
        "usages": [
            f"g-{n:02},gelcoat,{f'G-{n // 5}' if n % 7 else ''},D{n % 2},{10 + n},kg",
            f"l-{n:02},resin,{'B' if n % 4 else 'R'}-{n // 9},,40,kg",
        ],
        "readings": [f"g-{n:02},wet_film,{18 + (n * 7) % 11},mil"] if n % 9 else [],
        "ambient": [
            f"Booth {n % 2},{day} 05:{minute}0,{quantity},{(n * 5) % 13 + level},{unit}"
            for minute in (1, 2)
            for quantity, level, unit in (
                ("ambient_temp", 15, "degC"),
                ("relative_humidity", 40, "%"),
            )
        ],
        "components": [
            f"BT-{n:02},bilge pump,S{n:02},V-2,L-{n % 4},{day} 10:00,RG-{n % 2}",
            f"BT-{HULLS - n:02},bilge hose,,V-3,,{day} 11:00,RG-{n % 2}",
        ],
        "inspections": [
            f"I-{n:02},P-{n:02},barcol,{day + timedelta(3)} 10:00,{'pass' if n % 5 else 'fail'}"
        ],
        "claims": [f"C-{n:02},BT-{n:02},2025-09-09,blister"] if n % 6 == 0 else [],
    }
    if n % 6 == 0:
        rows["mold_events"] = [f"M-{n % 4 % 3},{day} 04:00,waxed,", f"M-1,{day} 03:00,repaired,"]
    return rows


def plant(numbers: range) -> dict[str, list[str]]:
    every: dict[str, list[str]] = {name: [] for name in HEADERS}
    for n in numbers:
        for name, rows in records_of(n).items():
            every[name] += rows
    return every


def beginnings() -> dict[str, list[str]]:
    every = plant(range(EARLIER))
    every["lots"] += [f"gelcoat,G-{n},V-{n % 2},2024-12-{n + 1:02}" for n in range(9)]
    every["lots"] += [f"resin,R-{n},V-9,2024-12-1{n}" for n in range(3)]
    every["blends"] += [f"resin,B-{n},resin,R-{n},0.5" for n in range(4)]
    return every


NEXT = plant(range(EARLIER, HULLS))
CHANGES: dict[str, dict[str, list[str]]] = {
    "a late lot": {"lots": ["resin,R-3,V-8,2024-12-19"]},
    "another supplier": {"lots": ["gelcoat,G-2,V-5,2024-12-03"]},
    "a late reading": {"readings": ["g-09,wet_film,31.5,mil", "g-10,wet_film,19,mil"]},
    "late weather": {"ambient": ["Booth 1,2025-01-12 05:15,ambient_temp,33,degC"]},
    "a late wax": {"mold_events": ["M-2,2025-01-29 20:00,waxed,"]},
    "a late pull": {
        "hulls": ["BT-99,S23,D-1,2025-02-20,2025-03-01"],
        "parts": ["P-99,deck,BT-99,M-0,2025-01-30 08:00"],
    },
    "shipped and owned": {"hulls": ["BT-05,S23,D-1,2025-01-26,2025-02-05"]},
    "a use": {"usages": ["g-05,gelcoat,G-6,D1,3,kg"]},
    "a use of a blend": {"usages": ["g-05,resin,B-1,,3,kg"]},
    "a hull without records": {"hulls": ["BT-98,S22,D-1,2025-02-20,2025-03-01"]},
    "a second check": {"inspections": ["I-99,P-05,barcol,2025-02-12 10:00,pass"]},
    "a stray part": {"parts": ["P-77,deck,BT-55,M-1,2025-01-20 07:00"]},
    "a second gelcoat": {"blends": ["resin,B-3,resin,R-1,0.2"]},
    "a renamed mold": {"mold_events": ["M-2,2025-01-29 20:00,renamed,"]},
    "another spelling": {
        "components": [
            f"BT-{n},bilge pump,T{n},V-2,l-1,2025-02-05 10:00,RG-0" for n in range(10, 24)
        ]
    },
}
WHOLE = {"a use of a blend", "a renamed mold", "another supplier"}
"""Changes of what holds for the whole plant: a question that nobody asked before, molds, what
a lot's number means."""

LAID = {"another spelling", "another supplier"}
"""Changes that take something out of the genealogy."""

TOGETHER = (
    ("a late lot", "a late reading", "late weather"),
    ("a late wax", "a late pull", "shipped and owned", "a hull without records"),
    ("a use", "a second check", "a stray part", "a second gelcoat"),
    ("a use of a blend", "a renamed mold", "another spelling"),
    ("another supplier",),
)
"""Changes that are tried at once; each load costs a second."""


def write(folder: Path, records: dict[str, list[str]]) -> None:
    folder.mkdir(parents=True)
    for name, rows in records.items():
        if rows:
            (folder / f"{name}.csv").write_text("\n".join([HEADERS[name], *rows]) + "\n")


def together(*parts: dict[str, list[str]]) -> dict[str, list[str]]:
    return {name: [row for part in parts for row in part.get(name, [])] for name in HEADERS}


@pytest.fixture(scope="module")
def years(tmp_path_factory: pytest.TempPathFactory) -> Path:
    base = tmp_path_factory.mktemp("years")
    yard = Yard(base)
    write(yard.folder / "a", beginnings())
    yard.load()
    return base


def go_on(years: Path, base: Path, month: dict[str, list[str]]) -> tuple[Yard, Yard]:
    """One store that goes on from the years before, and one of everything at once."""
    shutil.copytree(years, base / "on")
    (base / "once").mkdir()
    on, once = Yard.__new__(Yard), Yard(base / "once")
    on.folder, on.directory = base / "on/records", StoreDirectory(base / "on/store")
    shutil.copytree(on.folder, once.folder, dirs_exist_ok=True)
    for yard in (on, once):
        write(yard.folder / "b", month)
    once.load()
    return on, once


@pytest.mark.parametrize("changes", TOGETHER, ids=", ".join)
def test_a_month_gives_what_everything_at_once_gives(
    years: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, changes: tuple[str, ...]
) -> None:
    on, once = go_on(years, tmp_path, together(NEXT, *map(CHANGES.__getitem__, changes)))
    if not WHOLE.intersection(changes):
        monkeypatch.setattr(finishing, "build_exposure", _never)
    grown: list[bool] = []
    monkeypatch.setattr(graph, "grow_graph", lambda *given: grown.append(grow(*given)) or grown[-1])
    on.load()
    assert grown == [not LAID.intersection(changes)]
    assert_same(contents(on), contents(once))
    assert traces(on) == traces(once)


def traces(yard: Yard) -> list[object]:
    """Genealogies, in the order in which they are told."""
    with open_store(yard.directory.path) as store:
        found = [trace(store, named).graph for named in ("BT-05", "G-3", "M-1")]
    return [[list(graph.nodes(data=True)), list(graph.edges(data=True))] for graph in found]


def _never(*given: object, **named: object) -> None:
    raise AssertionError("Exposure was worked out whole.")


@settings(
    max_examples=2,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    changes=st.sets(st.sampled_from(sorted(CHANGES)), min_size=2),
    late=st.sets(st.integers(0, EARLIER - 1), max_size=3),
)
def test_any_changes_at_once(
    tmp_path_factory: pytest.TempPathFactory, changes: set[str], late: set[int]
) -> None:
    base = tmp_path_factory.mktemp("any")
    (base / "years").mkdir()
    yard = Yard(base / "years")
    every, held = beginnings(), together(*(records_of(n) for n in late))
    write(
        yard.folder / "a",
        {name: [r for r in rows if r not in held[name]] for name, rows in every.items()},
    )
    yard.load()
    month = together(NEXT, held, *(CHANGES[change] for change in sorted(changes)))
    on, once = go_on(base / "years", base, month)
    on.load()
    assert_same(contents(on), contents(once))

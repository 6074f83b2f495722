"""Records that come month by month give the store that all of them together give."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.intake.yard import Yard
from tracegraph.domain.acts import CLAIM_TO_HULL, Act
from tracegraph.intake import finishing
from tracegraph.intake.finishing import relink
from tracegraph.store import open_store

HULLS = 6
DAYS = range(1, HULLS + 1)
PLANT: dict[str, list[str]] = {
    "hulls": ["hull_serial,model,dealer,completed_on,shipped_on"]
    + [f"BT-{n},S{22 + n % 2},D-{n % 2},2025-03-0{n},2025-03-1{n}" for n in DAYS],
    "parts": ["part_serial,part,hull_serial,mold_no,pull_no,pulled_at"]
    + [f"P-{n},deck,BT-{n},M-{n % 2},{n},2025-02-0{n} 07:00" for n in DAYS],
    "operations": ["operation_id,step,part_serial,station,operator,crew,started_at,finished_at"]
    + [
        f"{step[0]}-{n},{step},P-{n},Booth {n % 2},SP-{n % 3},A,"
        f"2025-02-0{n} 0{hour}:00,2025-02-0{n} 0{hour}:40"
        for n in DAYS
        for hour, step in ((5, "gelcoat spray"), (6, "laminate"))
    ],
    "usages": ["operation_id,material,lot_no,drum_no,quantity,unit"]
    + [f"g-{n},gelcoat,G-{n // 2},D{n % 2},{10 + n},kg" for n in DAYS]
    + [f"l-{n},resin,B-{n // 3},,40,kg" for n in DAYS],
    "readings": ["operation_id,quantity,value,unit"]
    + [f"g-{n},wet_film,{18 + n},mil" for n in DAYS],
    "ambient": ["station,at,quantity,value,unit"]
    + [
        f"Booth {n % 2},2025-02-0{n} 05:{minute}0,{quantity},{value + n},{unit}"
        for n in DAYS
        for minute in (1, 3)
        for quantity, value, unit in (
            ("ambient_temp", 18 + minute, "degC"),
            ("relative_humidity", 40 + minute, "%"),
        )
    ],
    "lots": ["material,lot_no,supplier,made_on"]
    + [f"gelcoat,G-{n},V-{n % 2},2025-01-0{n + 1}" for n in range(4)]
    + [f"resin,R-{n},V-9,2025-01-1{n}" for n in range(3)],
    "blends": ["material,lot_no,parent_material,parent_lot_no,share"]
    + [f"resin,B-{n},resin,R-{n},0.5" for n in range(3)],
    "mold_events": ["mold_no,at,event,pull_no"]
    + [f"M-{n % 2},2025-01-2{n} 06:00,{'waxed' if n < 4 else 'repaired'},0" for n in DAYS],
    "components": ["hull_serial,component,serial_no,supplier,lot_no,fitted_at,fitted_by"]
    + [f"BT-{n},bilge pump,S{n},V-2,L-{n % 2},2025-02-2{n} 10:00,RG-{n % 2}" for n in DAYS],
    "inspections": ["inspection_id,part_serial,checkpoint,at,result"]
    + [f"I-{n},P-{n},barcol,2025-02-1{n} 10:00,{'pass' if n % 3 else 'fail'}" for n in DAYS],
    "claims": ["claim_no,hull_serial,opened_on,symptom"]
    + [f"C-{n},{'bt' if n == 5 else 'BT'}-{n},2025-09-0{n},blister" for n in DAYS]
    + ["C-9,BT-1O,2025-09-09,blister"],
}
SPLITS = st.fixed_dictionaries(
    {
        name: st.lists(
            st.sampled_from(["earlier", "later", "both"]),
            min_size=len(lines) - 1,
            max_size=len(lines) - 1,
        )
        for name, lines in PLANT.items()
    }
)
TABLES = (
    "SELECT table_name, list(column_name ORDER BY column_index) FROM duckdb_columns() "
    "WHERE schema_name = 'main' AND NOT internal GROUP BY ALL"
)
EDGES = (
    "SELECT a.kind, a.key, b.kind, b.key, relation, share FROM {} AS e "
    "LEFT JOIN nodes AS a USING (node_id) LEFT JOIN nodes AS b ON b.node_id = e.upstream_id"
)
NAMED = {
    "nodes": "SELECT kind, key, label FROM nodes",
    "edges_up": EDGES.format("edges_up"),
    "edges_down": EDGES.format("edges_down"),
}
"""Tables whose numbers depend on what came when, by the names behind the numbers."""

CLAIMS_LATER = {name: ["earlier"] * (len(lines) - 1) for name, lines in PLANT.items()} | {
    "claims": ["earlier", "later", "both", "later", "later", "earlier", "later"]
}


def write(yard: Yard, split: dict[str, list[str]], when: str) -> None:
    """Write the rows of a time, one file a table, named so that earlier ones come first."""
    for name, lines in PLANT.items():
        kept = [row for row, at in zip(lines[1:], split[name], strict=True) if at in (when, "both")]
        if kept:
            yard.write(f"{when}/{name}.csv", "\n".join([lines[0], *kept]) + "\n")


def contents(yard: Yard) -> dict[str, list[tuple[Any, ...]]]:
    """Every table but when and in which load a row came; sources and nodes by name."""
    found = {}
    with open_store(yard.directory.path) as store:
        for table, columns in store.rows(TABLES):
            found[table] = sorted(store.rows(_text(table, columns)), key=repr)
    return found


def _text(table: str, columns: list[str]) -> str:
    if table in NAMED:
        return NAMED[table]
    asked = [f't."{name}"' for name in columns if name not in ("source_id", "load_no")]
    source = "source_id" in columns and table != "sources"
    name = ["s.name"] if source else []
    joined = "LEFT JOIN sources AS s ON s.source_id = t.source_id" if source else ""
    where = "WHERE key <> 'loaded_at'" if table == "meta" else ""
    return f"SELECT {', '.join(name + asked)} FROM {table} AS t {joined} {where}"


def loaded_at_once(base: Path, split: dict[str, list[str]]) -> dict[str, list[tuple[Any, ...]]]:
    yard = Yard(base)
    write(yard, split, "earlier")
    write(yard, split, "later")
    yard.load()
    return contents(yard)


def in_steps(base: Path, split: dict[str, list[str]], *times: str) -> Yard:
    yard = Yard(base)
    for when in times:
        write(yard, split, when)
        if any(yard.folder.iterdir()):
            yard.load()
    return yard


def assert_same(
    found: dict[str, list[tuple[Any, ...]]], wanted: dict[str, list[tuple[Any, ...]]]
) -> None:
    assert found.keys() == wanted.keys()
    for table, rows in wanted.items():
        assert found[table] == rows, table


@settings(
    max_examples=4,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(split=SPLITS)
def test_two_loads_give_what_one_gives(split: dict[str, list[str]]) -> None:
    with tempfile.TemporaryDirectory() as base:
        for name in ("once", "steps"):
            (Path(base) / name).mkdir()
        wanted = loaded_at_once(Path(base) / "once", split)
        steps = in_steps(Path(base) / "steps", split, "earlier", "later")
        assert_same(contents(steps), wanted)


@pytest.fixture
def worked_out(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """One entry for each time that exposure is worked out, whole or for some hulls."""
    times: list[str] = []
    work, renew = finishing.build_exposure, finishing.renew_exposure

    def counted(*given: Any, **named: Any) -> None:
        times.append("whole")
        work(*given, **named)

    def renewed(*given: Any, **named: Any) -> bool:
        done = renew(*given, **named)
        times.extend(["renewed"] * done)
        return done

    monkeypatch.setattr(finishing, "renew_exposure", renewed)
    monkeypatch.setattr(finishing, "build_exposure", counted)
    return times


def test_claims_that_come_later_keep_the_exposure(tmp_path: Path, worked_out: list[str]) -> None:
    for name in ("once", "steps"):
        (tmp_path / name).mkdir()
    wanted = loaded_at_once(tmp_path / "once", CLAIMS_LATER)
    assert worked_out == ["whole"]
    steps = in_steps(tmp_path / "steps", CLAIMS_LATER, "earlier", "later")
    assert worked_out == ["whole"] * 2
    assert_same(contents(steps), wanted)
    assert steps.rows("SELECT count(*) > 100 FROM exposure") == [(True,)]


def test_an_act_about_a_claim_keeps_the_exposure(tmp_path: Path, worked_out: list[str]) -> None:
    yard = in_steps(tmp_path, CLAIMS_LATER, "earlier", "later")
    before = contents(yard)
    worked_out.clear()
    act = Act("2026-01-01T08:00+00:00", "QL-1", "accept", CLAIM_TO_HULL, "BT-1O", "BT-1", "letter")
    relink(yard.directory, act)
    assert worked_out == []
    after = contents(yard)
    for table in ("families", "levels", "exposure", "measured_values", "hull_index"):
        assert after[table] == before[table]
    assert yard.rows("SELECT hull_id FROM claim_index WHERE claim_no = 'C-9'") == [(1,)]


@pytest.mark.parametrize(
    ("change", "how"),
    [
        ("a mended row", "whole"),
        ("a spelling", "renewed"),
        ("a zone", "whole"),
        ("a part's act", "whole"),
    ],
)
def test_whatever_exposure_rests_on_has_it_worked_out_anew(
    tmp_path: Path, worked_out: list[str], change: str, how: str
) -> None:
    yard = in_steps(tmp_path, CLAIMS_LATER, "earlier")
    worked_out.clear()
    if change == "a mended row":
        yard.write("more/readings.csv", "operation_id,quantity,value,unit\nl-1,gel_time,12,min\n")
        yard.load()
    elif change == "a spelling":
        yard.write("more/parts.csv", "part_serial,part,hull_serial\nP-8,deck,BT-7\n")
        yard.load()
        worked_out.clear()
        uses = "".join(f"C-{n},bt-7,2025-10-01,leak\n" for n in range(20, 23))
        yard.write("more/claims.csv", "claim_no,hull_serial,opened_on,symptom\n" + uses)
        yard.load()
        assert yard.rows("SELECT hull_serial FROM parts WHERE part_serial = 'P-8'") == [("bt-7",)]
    elif change == "a zone":
        yard.write("intake.toml", 'time_zone = "America/Chicago"\n')
        yard.write(
            "more/claims.csv", "claim_no,hull_serial,opened_on,symptom\nC-30,BT-1,2025-10-01,x\n"
        )
        yard.load()
    else:
        act = Act(
            "2026-01-01T08:00+00:00", "QL-1", "accept", "part to hull", "BT-9", "BT-1", "seen"
        )
        relink(yard.directory, act)
    assert worked_out == [how]

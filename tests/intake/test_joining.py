"""Stores of several plants as one: nothing merged that is two, nothing split that is one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.intake.yard import Yard
from tracegraph.analysis.identifiers import find
from tracegraph.domain.errors import AmbiguousNameError, IntakeError
from tracegraph.intake import load_folder
from tracegraph.intake.joining import JoinReport, join_stores
from tracegraph.store import StoreDirectory, open_store

NORTH = {
    "hulls": "hull_serial,job_no,hin,model,completed_on,in_service_on\n"
    "BT-1,J-1,QZN00001C525,S22,2025-03-01,2025-05-01\n"
    "BT-2,J-2,QZN00002C525,S22,2025-03-02,2025-05-01\n",
    "parts": "part_serial,part,job_no,mold_no,pulled_at\n"
    "P-1,deck,J-1,M-3,2025-02-03 07:10\nP-2,deck,J-2,M-3B,2025-02-04 07:10\n",
    "operations": "operation_id,step,part_serial,station,operator,started_at\n"
    "OP-1,gelcoat spray,P-1,Booth 1,SP-01,2025-02-01 07:10\n"
    "OP-2,gelcoat spray,P-2,Booth 1,SP-01,2025-02-02 07:10\n",
    "usages": "operation_id,material,lot_no,drum_no\n"
    "OP-1,gelcoat,SHARED,D1\nOP-1,catalyst,TWO,\nOP-1,resin,ALONE,D1\nOP-1,core,NOBODYS,\n"
    "OP-2,gelcoat,SHARED,D1\nOP-2,resin,MIX-1,\n",
    "lots": "material,lot_no,supplier,received_on\ngelcoat,SHARED,V-1,2025-01-01\n"
    "catalyst,TWO,V-2,2025-01-01\nresin,ALONE,V-3,2025-01-01\ncore,NOBODYS,V-4,2025-01-01\n",
    "blends": "material,lot_no,parent_lot_no,share\nresin,MIX-1,ALONE,1.0\n",
    "mold_events": "mold_no,at,event,note\nM-3,2025-01-01 06:00,waxed,\n"
    "M-3,2025-02-04 06:00,renamed,M-3B\n",
    "components": "job_no,component,serial_no,supplier,lot_no\nJ-1,bilge pump,S1,V-9,L-1\n",
    "claims": "claim_no,hull_serial,opened_on,symptom\nC-1,BT-1,2025-09-01,blister\n"
    "C-2,QZS00002C525,2025-09-02,blister\n",
}
SOUTH = {
    **NORTH,
    "hulls": NORTH["hulls"].replace("QZN", "QZS"),
    "usages": NORTH["usages"].replace("OP-1,resin,ALONE,D1\n", "OP-1,resin,OWN,D1\n"),
    "lots": "material,lot_no,supplier,received_on\ngelcoat,SHARED,v-1,2025-01-05\n"
    "catalyst,TWO,V-7,2025-01-01\nresin,ALONE,V-3,2025-01-01\n",
    "claims": "claim_no,hull_serial,opened_on,symptom\nC-1,BT-1,2025-10-01,crack\n"
    "C-2,QZS00002C525,2025-09-02,blister\n",
}
Plants = dict[str, dict[str, str]]


def load(base: Path, name: str, toml: str, files: dict[str, str]) -> Path:
    """Records of one plant in ``NAME/records``, loaded into ``NAME-store``."""
    (base / name).mkdir()
    yard = Yard(base / name)
    yard.write("intake.toml", toml)
    for table, text in files.items():
        yard.write(f"{table}.csv", text)
    load_folder(yard.folder, StoreDirectory(base / f"{name}-store"))
    return base / f"{name}-store"


def joined(base: Path, plants: Plants, **zones: str) -> JoinReport:
    for plant, files in plants.items():
        load(base, plant, f'plant = "{plant}"\n{zones.get(plant, "")}', files)
    stores = [(None, base / f"{plant}-store") for plant in plants]
    return join_stores(stores, StoreDirectory(base / "joined"))


def rows(store: Path, text: str) -> list[tuple[Any, ...]]:
    with open_store(store) as opened:
        return opened.rows(text)


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    where = tmp_path_factory.mktemp("plants")
    report = joined(where, {"north": NORTH, "south": SOUTH})
    assert report.changed
    assert [row["hulls"] for row in report.plants] == [2, 2]
    said = " ".join(report.remarks)
    assert "3 lots are one in several plants" in said  # SHARED, ALONE, L-1
    assert "3 lot numbers mean another lot" in said  # TWO, NOBODYS, MIX-1
    assert "1 of the lot numbers" in said  # NOBODYS
    assert "cut-off" not in said
    assert [row["last_claim_on"] for row in report.plants] == ["2025-09-02", "2025-10-01"]
    assert "1 claim lines stand in the records of two plants" in said
    return where


def answers(base: Path, family: str) -> dict[str, str]:
    found = rows(
        base / "joined",
        "SELECT h.hull_serial, string_agg(l.level, ' + ' ORDER BY l.level) "
        "FROM exposure AS e JOIN families AS f USING (family_id) JOIN levels AS l USING (level_id) "
        f"JOIN hull_index AS h USING (hull_id) WHERE f.family = '{family}' GROUP BY ALL",
    )
    return dict(found)


def test_numbers_that_both_plants_use_stay_two(base: Path) -> None:
    serials = rows(base / "joined", "SELECT hull_serial, plant, model FROM hull_index ORDER BY 1")
    assert serials == [
        ("north:BT-1", "north", "S22"),
        ("north:BT-2", "north", "S22"),
        ("south:BT-1", "south", "S22"),
        ("south:BT-2", "south", "S22"),
    ]
    # Every node of the one plant's own is there twice, and no step leads across.
    across = rows(
        base / "joined",
        "SELECT later.key, earlier.key FROM edges_up AS e JOIN nodes AS later USING (node_id) "
        "JOIN nodes AS earlier ON earlier.node_id = e.upstream_id "
        "WHERE later.key LIKE '%north:%' AND earlier.key LIKE '%south:%' "
        "OR later.key LIKE '%south:%' AND earlier.key LIKE '%north:%'",
    )
    assert across == []
    for kind in ("part", "operation", "station", "operator", "component"):
        keys = [
            key for (key,) in rows(base / "joined", f"SELECT key FROM nodes WHERE kind = '{kind}'")
        ]
        assert keys
        assert {key.split(":")[0] for key in keys} == {"north", "south"}
        assert len({key.split(":")[1] for key in keys}) * 2 == len(keys)


def test_a_mold_of_a_plant_keeps_its_renaming(base: Path) -> None:
    assert answers(base, "deck: mold") == {
        f"{plant}:BT-{n}": f"{plant}:M-3B" for plant in ("north", "south") for n in (1, 2)
    }


def test_a_lot_of_one_supplier_is_one_and_its_drums_are_the_plants_own(base: Path) -> None:
    assert set(answers(base, "deck: gelcoat spray: gelcoat lot").values()) == {"SHARED"}
    assert answers(base, "deck: gelcoat spray: gelcoat drum") == {
        f"{plant}:BT-{n}": f"SHARED/{plant}:D1" for plant in ("north", "south") for n in (1, 2)
    }


def test_a_lot_number_of_two_suppliers_or_of_none_on_record_is_two(base: Path) -> None:
    assert answers(base, "deck: gelcoat spray: catalyst lot") == {
        "north:BT-1": "north:TWO",
        "south:BT-1": "south:TWO",
    }
    assert answers(base, "deck: gelcoat spray: core lot") == {
        "north:BT-1": "north:NOBODYS",
        "south:BT-1": "south:NOBODYS",
    }
    assert answers(base, "hull: bilge pump: lot") == {"north:BT-1": "L-1", "south:BT-1": "L-1"}


def test_what_a_plant_mixed_is_its_own_and_leads_to_what_it_bought(base: Path) -> None:
    assert answers(base, "deck: gelcoat spray: resin lot") == {
        "north:BT-1": "ALONE",
        "north:BT-2": "ALONE + north:MIX-1",
        "south:BT-1": "OWN",
        "south:BT-2": "ALONE + south:MIX-1",
    }


def test_a_claim_reaches_the_hull_of_another_plant_and_counts_once(base: Path) -> None:
    found = rows(
        base / "joined",
        "SELECT claim_no, hull_serial, reached_by FROM claim_index JOIN hull_index USING (hull_id) "
        "ORDER BY 1",
    )
    assert found == [
        ("north:C-1", "north:BT-1", "serial"),
        ("south:C-1", "south:BT-1", "serial"),
        ("south:C-2", "south:BT-2", "hin"),
    ]


def test_a_number_without_its_plant_names_both(base: Path) -> None:
    with open_store(base / "joined") as store, store.session() as session:
        with pytest.raises(AmbiguousNameError, match=r"north:BT-1.*south:BT-1"):
            find(session, "hull:bt-1")
        with pytest.raises(AmbiguousNameError, match=r"north:M-3B"):
            find(session, "M-3B")
        assert find(session, "north:BT-1")[0].key == "north:BT-1"
        assert find(session, "SHARED")[0].key == "gelcoat|SHARED"
        assert find(session, "OWN")[0].key == "resin|OWN"
        assert find(session, "QZS00002C525")[0].key == "south:BT-2"


def test_every_record_leads_to_its_file(base: Path) -> None:
    found = rows(
        base / "joined",
        "SELECT h.hull_serial, s.name, h.source_row FROM hulls AS h JOIN sources AS s "
        "USING (source_id) ORDER BY 1",
    )
    assert [(serial[:5], name, row) for serial, name, row in found] == [
        ("north", "north:hulls.csv", 2),
        ("north", "north:hulls.csv", 3),
        ("south", "south:hulls.csv", 2),
        ("south", "south:hulls.csv", 3),
    ]


def test_joining_again_takes_what_is_new_and_nothing_else(tmp_path: Path) -> None:
    first = joined(tmp_path, {"north": NORTH, "south": SOUTH})
    again = join_stores([], StoreDirectory(tmp_path / "joined"))
    assert (again.changed, again.version) == (False, first.version)
    folder = tmp_path / "north" / "records"
    (folder / "claims.tsv").write_text(
        "claim_no\thull_serial\topened_on\tsymptom\nC-9\tBT-2\t2025-11-20\tblister\n"
    )
    load_folder(folder, StoreDirectory(tmp_path / "north-store"))
    third = join_stores([], StoreDirectory(tmp_path / "joined"))
    assert third.changed
    assert "set --cut-off 2025-10-01" in third.remarks[-1]  # of the north there is one of November
    assert third.version != first.version
    assert rows(tmp_path / "joined", "SELECT claim_no FROM claims WHERE claim_no LIKE '%9'") == [
        ("north:C-9",)
    ]
    with pytest.raises(IntakeError, match="joins the plants north, south"):
        load_folder(folder, StoreDirectory(tmp_path / "joined"))
    with pytest.raises(IntakeError, match="joins the plants north, south"):
        join_stores([(None, tmp_path / "joined")], StoreDirectory(tmp_path / "more"))


def test_clocks_that_differ_are_kept_as_the_plants_saw_them(tmp_path: Path) -> None:
    report = joined(
        tmp_path, {"north": NORTH, "south": SOUTH}, south='time_zone = "America/New_York"\n'
    )
    assert "keep different clocks" in report.remarks[-1]
    found = rows(tmp_path / "joined", "SELECT DISTINCT started_at FROM operations ORDER BY 1")
    assert [moment.strftime("%d %H:%M") for (moment,) in found] == ["01 07:10", "02 07:10"]


@pytest.mark.parametrize(
    ("stores", "said"),
    [
        ([(None, "bare")], r"does not say whose it is.*NAME="),
        ([("east", "north-store")], "holds the records of plant north; it was named east"),
        ([("a:b", "bare")], "letters, digits, spaces"),
        ([("north", "bare"), (None, "north-store")], "plant north was named twice"),
        ([], "Nothing is joined yet"),
        ([(None, "joined")], "cannot be joined into itself"),
    ],
)
def test_what_cannot_be_joined_is_told(
    base: Path, tmp_path: Path, stores: list[tuple[str | None, str]], said: str
) -> None:
    load(tmp_path, "bare", "", {"hulls": NORTH["hulls"]})
    where = {"bare": tmp_path / "bare-store", "joined": tmp_path / "joined"}
    named = [(plant, where.get(name, base / name)) for plant, name in stores]
    with pytest.raises(IntakeError, match=said):
        join_stores(named, StoreDirectory(tmp_path / "joined"))


def test_the_records_of_a_plant_are_never_replaced_by_a_joining(base: Path, tmp_path: Path) -> None:
    bare = load(tmp_path, "bare", "", {"hulls": NORTH["hulls"]})
    with pytest.raises(IntakeError, match="holds the records of a plant"):
        join_stores([(None, base / "north-store")], StoreDirectory(bare))


def test_a_number_that_two_suppliers_gave_one_plant_stays_undecided_there(tmp_path: Path) -> None:
    north = {
        **NORTH,
        "lots": NORTH["lots"] + "catalyst,TWO,V-8,2025-01-02\n",
    }
    joined(tmp_path, {"north": north, "south": SOUTH})
    assert answers(tmp_path, "deck: gelcoat spray: catalyst lot") == {"south:BT-1": "south:TWO"}
    kept = rows(
        tmp_path / "joined", "SELECT lot_no FROM lots WHERE material = 'catalyst' ORDER BY 1"
    )
    assert kept == [("TWO (V-2)",), ("TWO (V-8)",), ("south:TWO",)]

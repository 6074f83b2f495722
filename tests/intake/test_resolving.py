"""Repeats, contradictions and spellings; the same records whatever the order."""

from __future__ import annotations

import random
import shutil
import tempfile
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.intake.yard import Yard
from tracegraph.domain.records import TABLES

HEADERS = {
    "hulls": "hull_serial,model,dealer,place",
    "usages": "operation_id,material,lot_no,quantity",
    "lots": "material,lot_no,supplier,on_hand_qty",
}
ROWS = st.fixed_dictionaries(
    {
        "hulls": st.lists(
            st.tuples(
                st.sampled_from(["BT-1", "bt-1", "BT-2", "BT-3"]),
                st.sampled_from(["S22", "s22"]),
                st.sampled_from(["", "D-1", "D-2"]),
                st.sampled_from(["", "plant"]),
            ),
            max_size=6,
        ),
        "usages": st.lists(
            st.tuples(
                st.sampled_from(["OP-1", "OP-2"]),
                st.just("gelcoat"),
                st.sampled_from(["", "G-1", "g-1", "G-2"]),
                st.sampled_from(["", "1.5"]),
            ),
            max_size=6,
        ),
        "lots": st.lists(
            st.tuples(
                st.just("gelcoat"),
                st.sampled_from(["G-1", "G-2"]),
                st.sampled_from(["", "V-1", "V-2"]),
                st.sampled_from(["", "3", "4"]),
            ),
            max_size=4,
        ),
    }
)
Folder = list[dict[str, list[tuple[str, ...]]]]


def loaded(loads: Folder, base: Path) -> dict[str, list[tuple[Any, ...]]]:
    """Records after loading some folders one after another."""
    yard = Yard(base)
    for number, files in enumerate(loads):
        shutil.rmtree(yard.folder)
        yard.folder.mkdir()
        for name, rows in files.items():
            text = "\n".join([HEADERS[name], *(",".join(row) for row in rows)])
            yard.write(f"part {number}/{name}.csv", text + "\n")
        yard.load()
    records: dict[str, list[tuple[Any, ...]]] = {
        table.name: yard.records(table.name) for table in TABLES
    }
    records["data version"] = yard.rows("SELECT value FROM meta WHERE key = 'data_version'")
    return records


def test_equal_lines_of_one_export_stay_and_are_counted(yard: Yard) -> None:
    line = "OP-1,gelcoat,G-1,1.5\n"
    yard.write("week 1/usages.csv", HEADERS["usages"] + "\n" + line * 2)
    yard.write("week 2/usages.csv", HEADERS["usages"] + "\n" + line + "OP-2,gelcoat,G-1,\n")
    yard.load()
    assert yard.column("usages", "operation_id") == ["OP-1", "OP-1", "OP-2"]
    assert yard.ledger("week 2/usages.csv").repeats == 1
    [(affected, text)] = yard.remarks("equal lines")
    assert affected == 1
    assert "usages" in text


def test_a_contradiction_keeps_the_fuller_row_and_names_it(yard: Yard) -> None:
    yard.write("a/hulls.csv", "hull_serial,model,dealer\nBT-1,S22,\n")
    yard.write("b/hulls.csv", "hull_serial,model,dealer\nBT-1,S22,D-1\n")
    yard.load()
    assert yard.records("hulls")[0][9] == "D-1"
    [(reason, raw)] = yard.rows("SELECT reason, raw FROM set_aside")
    assert "b/hulls.csv row 2" in reason
    assert '"hull_serial":"BT-1"' in raw
    assert yard.ledger("a/hulls.csv").set_aside == 1


def test_a_later_load_can_overrule_an_earlier_row(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,model,dealer\nBT-1,S22,\nBT-2,S22,\n")
    yard.load_files(hulls__csv="hull_serial,model,dealer\nBT-1,S22,D-1\n")
    assert yard.rows("SELECT hull_serial, dealer FROM hulls ORDER BY ALL") == [
        ("BT-1", "D-1"),
        ("BT-2", None),
    ]
    assert yard.rows("SELECT seen, loaded, set_aside FROM sources ORDER BY source_id") == [
        (2, 1, 1),
        (1, 1, 0),
    ]


def test_the_defined_spelling_is_kept(yard: Yard) -> None:
    yard.load_files(
        lots__csv="material,lot_no\ngelcoat,GB-12C\n",
        usages__csv="operation_id,material,lot_no\nOP-1,gelcoat,gb-12c\nop-1,gelcoat,GB-12c\n"
        "OP-1,gelcoat,G-9\n",
    )
    assert yard.column("usages", "lot_no") == ["GB-12C", "GB-12C", "G-9"]
    assert yard.column("usages", "operation_id") == ["OP-1"] * 3
    noted = yard.rows(
        "SELECT source_row, raw, value FROM cleaned_values WHERE column_name = 'lot_no' ORDER BY 1"
    )
    assert noted == [(2, "gb-12c", "GB-12C"), (3, "GB-12c", "GB-12C")]


@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(ROWS, st.randoms(use_true_random=False), st.integers(1, 3))
def test_order_splitting_and_doubling_change_nothing(
    tables: dict[str, list[tuple[str, ...]]], chance: random.Random, pieces: int
) -> None:
    with tempfile.TemporaryDirectory() as base:
        whole = Path(base) / "whole"
        whole.mkdir()
        expected = loaded([tables], whole)
        shuffled: Folder = [{} for _ in range(pieces)]
        for name, rows in tables.items():
            mixed = chance.sample(rows, len(rows))
            for number in range(pieces):
                shuffled[number][name] = mixed[number::pieces]
        again = [*shuffled, {name: [*rows] for name, rows in chance.choice(shuffled).items()}]
        other = Path(base) / "pieces"
        other.mkdir()
        found = loaded(again, other)
        for table in TABLES:
            if table.name != "usages":
                assert found[table.name] == expected[table.name]
        # Equal lines in one export stand for events of their own; split over exports they
        # are repeats of one. What was used is the same either way.
        assert set(found["usages"]) == set(expected["usages"])

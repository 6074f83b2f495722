"""Rows set aside go out as they came, and leave the list when they come back mended."""

import csv
import sqlite3
from pathlib import Path

import openpyxl
import pyarrow as pa
import pyarrow.parquet as pq

from tests.intake.yard import Yard
from tracegraph.intake import export_set_aside
from tracegraph.store import open_store

WIDE = """
[[files]]
match = "log*.csv"
delimiter = ";"
[[files.tables]]
table = "hulls"
columns = { hull_serial = "Hull", model = "Model", completed_on = "Done" }

[[files]]
match = "book.xlsx"
sheets = ["Two"]
header_row = 3
[[files.tables]]
table = "lots"
columns = { material = "What", lot_no = "Lot" }
"""


def export(yard: Yard) -> list[Path]:
    with open_store(yard.directory.path) as store:
        return export_set_aside(store, yard.folder / "set aside")


def read(path: Path, delimiter: str = ",") -> list[list[str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.reader(file, delimiter=delimiter))


def write(path: Path, rows: list[list[str]], delimiter: str = ",") -> None:
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        csv.writer(file, delimiter=delimiter).writerows(rows)


def test_text_goes_out_in_its_own_form_and_comes_back(yard: Yard) -> None:
    yard.write("intake.toml", WIDE)
    yard.write(
        "year/log 1.csv", "Hull;Model;Done;Colour\nBT-1;S22;2026-01-05;red\n;S26;2026-01-06;b\n"
    )
    yard.load()
    [path] = export(yard)
    assert path == yard.folder / "set aside" / "year" / "log 1.csv"
    header, row = read(path, ";")
    assert header == ["Hull", "Model", "Done", "Colour", "reason set aside", "set aside as"]
    assert row[:4] == ["", "S26", "2026-01-06", "b"]
    assert "required" in row[4]
    write(path, [header, ["BT-2", *row[1:]]], ";")
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"]
    assert yard.reasons() == []
    assert yard.rows("SELECT seen, loaded, set_aside, repeats FROM sources ORDER BY 1") == [
        (1, 1, 0, 0),
        (2, 1, 0, 1),
    ]


def test_a_row_that_is_not_mended_stays_once(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,model\n,S22\n")
    [path] = export(yard)
    yard.load()
    assert len(yard.reasons()) == 1
    assert path.is_file()


def test_a_workbook_goes_out_as_a_workbook(yard: Yard) -> None:
    yard.write("intake.toml", WIDE)
    rows = [["Lots"], [], ["What", "Lot"], ["gelcoat", "G-1"], ["gelcoat", None]]
    yard.workbooks("book.xlsx", {"One": [["x"]], "Two": rows})
    yard.load()
    [path] = export(yard)
    book = openpyxl.load_workbook(path)
    sheet = book["Two"]
    assert [cell.value for cell in sheet[3]][:2] == ["What", "Lot"]
    sheet["B4"] = "G-2"
    book.save(path)
    yard.load()
    assert yard.column("lots", "lot_no") == ["G-1", "G-2"]
    assert yard.reasons() == []


def test_a_line_that_could_not_be_cut_goes_out_whole(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,model\nBT-1,S22,blue\nBT-2,S22\n")
    [path] = export(yard)
    header, row = read(path)
    assert header[-1] == "line as written"
    assert row[-1] == "BT-1,S22,blue\n"
    write(path, [header, ["BT-1", "S22", *row[2:]]])
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-2", "BT-1"]
    assert yard.reasons() == []


def test_rows_of_parquet_go_out_as_text_and_come_back_by_the_same_rule(yard: Yard) -> None:
    yard.write(
        "intake.toml",
        """
[[files]]
match = "boats*.parquet"
[[files.tables]]
table = "hulls"
columns = { hull_serial = "Hull", model = "Model", completed_on = "Done" }
""",
    )
    columns = {"Hull": ["BT-1", None], "Model": ["S22", "S26"], "Done": ["2026-01-05", None]}
    pq.write_table(pa.table(columns), yard.folder / "boats 2026.parquet")
    yard.load()
    [path] = export(yard)
    assert path.name == "boats 2026.parquet.csv"
    header, row = read(path)
    assert header[:3] == ["Hull", "Model", "Done"]
    write(path, [header, ["BT-2", *row[1:]]])
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"]
    assert yard.reasons() == []


def test_rows_of_parquet_named_like_a_table_need_no_mapping(yard: Yard) -> None:
    table = pa.table({"hull_serial": ["BT-1", None], "model": ["S22", "S26"]})
    pq.write_table(table, yard.folder / "hulls.parquet")
    yard.load()
    [path] = export(yard)
    header, row = read(path)
    write(path, [header, ["BT-2", *row[1:]]])
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"]
    assert yard.reasons() == []


def test_rows_of_a_query_go_out_as_text_and_come_back_by_its_rule(yard: Yard) -> None:
    yard.write(
        "intake.toml",
        """
[[queries]]
name = "plant/boats"
url = "sqlite:///plant.db"
sql = "SELECT serial, model FROM boats ORDER BY model"
[[queries.tables]]
table = "hulls"
columns = { hull_serial = "serial", model = "model" }
""",
    )
    with sqlite3.connect(yard.folder / "plant.db") as base:
        base.execute("CREATE TABLE boats (serial TEXT, model TEXT)")
        base.executemany("INSERT INTO boats VALUES (?, ?)", [("BT-1", "S22"), (None, "S26")])
    base.close()
    yard.load()
    [path] = export(yard)
    assert path == yard.folder / "set aside" / "query plant_boats.csv"
    header, row = read(path)
    write(path, [header, ["BT-2", *row[1:]]])
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"]
    assert yard.reasons() == []
    assert not yard.load().changed


def test_nothing_set_aside_writes_nothing(yard: Yard) -> None:
    yard.load_files(hulls__csv="hull_serial,model\nBT-1,S22\n")
    assert export(yard) == []

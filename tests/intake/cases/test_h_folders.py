"""Kind H: folders and files."""

import os
import socket
import subprocess
import sys
import time
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from tests.intake.yard import Yard
from tracegraph.domain.errors import MappingError, StoreBusyError
from tracegraph.intake import load_folder, reading
from tracegraph.intake.staging import Page
from tracegraph.store import Build

HULLS = "hull_serial,model\n"


def test_h1_1_litter_is_ignored_with_a_reason(yard: Yard) -> None:
    names = ["~$x.xlsx", ".DS_Store", "Thumbs.db", "._x.csv", "x.csv.part", "x.bak"]
    for name in names:
        yard.write(name, "x")
    yard.load_files(hulls__csv=HULLS + "BT-1,S22\n")
    assert yard.report is not None
    assert {out.name for out in yard.report.left_out if out.litter} == set(names)
    assert all(yard.left_out()[name] for name in names)


def test_h1_2_names_in_capitals(yard: Yard) -> None:
    yard.workbook("HULLS.XLSX", [["HULL_SERIAL", "MODEL"], ["BT-1", "S22"]])
    yard.load_files(LOTS__CSV="MATERIAL,LOT_NO\ngelcoat,G-1\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    assert yard.column("lots", "lot_no") == ["G-1"]


PARTS = """
[[files]]
match = "part-*.parquet"
[[files.tables]]
table = "parts"
columns = { part_serial = "part_serial", part = "part", job_no = "job_no", mold_no = "mold_no" }
"""


def test_h2_1_two_million_rows(yard: Yard) -> None:
    """That a stop in the middle leaves the store intact is shown by ``test_stopped``."""
    rows = 2_000_000
    lines = "".join(f"OP-{n // 2},gel_time,{n % 50},min\n" for n in range(rows))
    yard.write("readings.csv", "operation_id,quantity,value,unit\n" + lines)
    code = (
        "import resource, sys\nfrom pathlib import Path\n"
        "from tracegraph.intake import load_folder\n"
        "from tracegraph.store import StoreDirectory\n"
        "class Watcher:\n"
        "    def start(self, total): print(f'of {total} bytes')\n"
        "    def step(self, text, done): print(f'{done} {text}')\n"
        "    def end(self): print('end')\n"
        "load_folder(Path(sys.argv[1]), StoreDirectory(Path(sys.argv[2])), progress=Watcher())\n"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)"
    )
    command = [sys.executable, "-c", code, str(yard.folder), str(yard.directory.path)]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout.splitlines()
    size = (yard.folder / "readings.csv").stat().st_size
    assert said[0] == f"of {size} bytes"
    steps = [line.split(" ", 1) for line in said[1:-2]]
    done = [int(amount) for amount, _ in steps]
    assert done == sorted(done)
    assert done[-1] <= size
    # How far it is moves within the one file, not only between files.
    assert len({amount for amount, text in steps if text.startswith("readings.csv")}) > 3
    assert "settling repeats and spellings" in [text for _, text in steps]
    assert said[-2] == "end"
    assert int(said[-1]) < 3_000  # MB, what a load of 10 million rows may take
    counts = yard.rows("SELECT count(*), count(DISTINCT source_row), sum(value) FROM readings")
    assert counts == [(rows, rows, rows * 24.5)]


def test_h3_1_parquet_parts_of_different_types(yard: Yard) -> None:
    yard.write("intake.toml", PARTS)
    job = {"a": pa.array([7], pa.int64()), "b": pa.array(["J-8"]), "d": pa.nulls(1)}
    for name in "abcd":
        columns = {"part_serial": [f"P-{name}"], "part": ["deck"], "mold_no": ["M-1"]}
        if name in job:
            columns["job_no"] = job[name]
        else:
            columns["job_no "] = ["J-9"]
        pq.write_table(pa.table(columns), yard.folder / f"part-{name}.parquet")
    yard.load()
    assert yard.rows("SELECT part_serial, job_no FROM parts ORDER BY ALL") == [
        ("P-a", "7"),
        ("P-b", "J-8"),
        ("P-c", "J-9"),
    ]
    assert len(yard.reasons()) == 1
    assert "'job_no' holds numbers" in yard.remarks("identity kept as number")[0][1]


def test_h3_2_columns_in_another_order(yard: Yard) -> None:
    yard.write("a/hulls.csv", "hull_serial,model\nBT-1,S22\n")
    yard.write("b/hulls.csv", "model,hull_serial\nS26,BT-2\n")
    yard.load()
    assert yard.rows("SELECT hull_serial, model FROM hulls ORDER BY ALL") == [
        ("BT-1", "S22"),
        ("BT-2", "S26"),
    ]


def test_h4_1_parquet_columns_that_differ_in_case(yard: Yard) -> None:
    yard.write(
        "intake.toml",
        """
[[files]]
match = "use.parquet"
[[files.tables]]
table = "usages"
columns = { operation_id = "op", lot_no = "lot" }
constants = { material = "gelcoat" }
""",
    )
    pq.write_table(
        pa.table({"op": ["O1"], "Lot": ["A"], "lot": ["B"]}), yard.folder / "use.parquet"
    )
    yard.load()
    assert yard.column("usages", "lot_no") == ["B"]
    assert any("'Lot' and 'lot'" in text for _, text in yard.remarks("header"))


def test_h5_1_the_same_bytes_under_two_names(yard: Yard) -> None:
    yard.write("a copy of hulls.csv", HULLS + "BT-1,S22\n")
    yard.load_files(hulls__csv=HULLS + "BT-1,S22\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    assert yard.ledger("a copy of hulls.csv").repeats == 1


def test_h5_2_the_same_name_in_different_folders(yard: Yard) -> None:
    yard.write("2025/hulls.csv", HULLS + "BT-1,S22\n")
    yard.write("2026/hulls.csv", HULLS + "BT-2,S22\n")
    yard.load()
    assert yard.column("hulls", "hull_serial") == ["BT-1", "BT-2"]


def test_h6_1_a_second_load_is_told_that_the_store_is_held(yard: Yard) -> None:
    yard.write("hulls.csv", HULLS + "BT-1,S22\n")
    code = (
        "import sys, time; from pathlib import Path; from tracegraph.store import StoreDirectory\n"
        f"with StoreDirectory(Path({str(yard.directory.path)!r})).loading():\n"
        "    print('held', flush=True); sys.stdin.read()"
    )
    holder = subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    try:
        assert holder.stdout is not None
        assert holder.stdout.readline() == "held\n"
        with pytest.raises(StoreBusyError, match="Another load"):
            load_folder(yard.folder, yard.directory)
    finally:
        holder.communicate("")
    assert yard.load().changed


def test_gzip_and_plain_text_of_the_same_bytes_are_one(yard: Yard) -> None:
    import gzip

    text = HULLS + "BT-1,S22\n"
    yard.write("hulls.csv.gz", gzip.compress(text.encode()))
    yard.load_files(hulls__csv=text)
    assert yard.column("hulls", "hull_serial") == ["BT-1"]


def test_h1_hidden_folders_are_not_looked_into(yard: Yard) -> None:
    yard.write(".git/hulls.csv", HULLS + "BT-9,S22\n")
    yard.write("__MACOSX/hulls.csv", HULLS + "BT-8,S22\n")
    yard.load_files(hulls__csv=HULLS + "BT-1,S22\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    assert yard.left_out() == {".git": "a hidden folder", "__MACOSX": "a hidden folder"}


def test_h1_1_more_litter(yard: Yard) -> None:
    names = ["#x.csv#", "x.csv.swo", "x.csv.opdownload", "x.csv.lock", "x.crc", "_SUCCESS"]
    names += ["_committed_1", "ehthumbs.db", "x.csv:Zone.Identifier", "Icon\r"]
    for name in names:
        yard.write(name, "x")
    for folder in ("$RECYCLE.BIN", "@eaDir", "lost+found", "System Volume Information"):
        yard.write(f"{folder}/hulls.csv", HULLS + "BT-9,S22\n")
    yard.load_files(hulls__csv=HULLS + "BT-1,S22\n")
    assert yard.column("hulls", "hull_serial") == ["BT-1"]
    assert yard.report is not None
    assert len([out for out in yard.report.left_out if out.litter]) == len(names) + 4
    assert yard.remarks("left out") == []


def test_h1_files_that_are_none(yard: Yard) -> None:
    """Pipes, sockets, circles of links, folders named like files, names that are no text."""
    yard.write("hulls.csv", HULLS + "BT-1,S22\n")
    os.mkfifo(yard.folder / "pipe.csv")
    with socket.socket(socket.AF_UNIX) as line:
        line.bind(str(yard.folder / "line.csv"))
    (yard.folder / "circle.csv").symlink_to("circle.csv")
    (yard.folder / "nowhere.csv").symlink_to("gone.csv")
    (yard.folder / "round").symlink_to(".")
    yard.write("lots.csv/lots.csv", "material,lot_no\nresin,R-1\n")
    Path(os.fsdecode(os.fsencode(yard.folder / "odd") + b"\xff.csv")).write_bytes(b"a,b\n")
    yard.load()
    assert yard.column("lots", "lot_no") == ["R-1"]
    reasons = yard.left_out()
    assert "circle" in reasons["circle.csv"]
    assert "rename" in reasons["odd?.csv"]
    assert {"pipe.csv", "line.csv", "nowhere.csv", "round"} <= reasons.keys()


def test_h3_1_parquet_types_of_old_and_new_writers(yard: Yard) -> None:
    yard.write(
        "intake.toml",
        """
[[files]]
match = "r*.parquet"
[[files.tables]]
table = "readings"
columns = { operation_id = "op", value = "v" }
constants = { quantity = "gel_time", unit = "min" }
""",
    )
    kinds = {
        "bytes": (pa.array([b"y\xc3\xa9", b"y\xe9"]), pa.array([0.1, 21.3], pa.float32())),
        "half": (pa.array(["z"]).dictionary_encode(), pa.array([2.5], pa.float16())),
        "none": (pa.nulls(1), pa.array([1.0])),
        "blank": (pa.array([], pa.string()), pa.array([], pa.float64())),
        "nested": (pa.array([{"a": 1}]), pa.array([True])),
    }
    for name, (op, value) in kinds.items():
        pq.write_table(pa.table({"op": op, "v": value}), yard.folder / f"r-{name}.parquet")
    yard.load()
    assert yard.rows("SELECT operation_id, value FROM readings ORDER BY ALL") == [
        ("y\u00e9", 0.1),
        ("y\u00e9", 21.3),
        ("z", 2.5),
    ]


def test_h3_1_moments_with_a_zone_do_not_depend_on_the_machine(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    moments = pa.array([datetime(2026, 1, 5, 3)], pa.timestamp("us", "America/New_York"))
    table = pa.table({"hull_serial": ["BT-1"], "model": ["S22"], "completed_on": moments})
    pq.write_table(table, yard.folder / "hulls.parquet")
    monkeypatch.setenv("TZ", "Asia/Tokyo")
    time.tzset()
    try:
        yard.load()
    finally:
        monkeypatch.undo()
        time.tzset()
    assert yard.column("hulls", "completed_on") == [date(2026, 1, 4)]


def test_h5_1_copies_of_what_cannot_be_read_are_named_too(yard: Yard) -> None:
    """And bytes that one name hides are read under the other."""
    yard.workbook("lots.xlsx", [["material", "lot_no"], ["resin", "R-1"]])
    book = (yard.folder / "lots.xlsx").read_bytes()
    for name in ("a/lots.csv", "b/lots.csv"):
        yard.write(name, book)
    yard.load()
    assert yard.column("lots", "lot_no") == ["R-1"]
    assert "is a workbook" in yard.left_out()["a/lots.csv"]
    assert "a/lots.csv" in yard.left_out()["b/lots.csv"]


def test_h_a_fault_of_the_program_costs_one_file(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    yard.write("hulls.csv", HULLS + "BT-1,S22\n")
    yard.write("lots.csv", "material,lot_no\nresin,R-1\n")
    before = reading.read_page

    def fail(build: Build, page: Page, *rest: Any, mask: bool) -> dict[str, int]:
        counts = before(build, page, *rest, mask=mask)
        if "material" in page.headers.names:
            raise ZeroDivisionError("by nothing")
        return counts

    monkeypatch.setattr(reading, "read_page", fail)
    report = load_folder(yard.folder, yard.directory)
    assert [file.name for file in report.files] == ["hulls.csv"]
    [reason] = [out.reason for out in report.left_out if out.name == "lots.csv"]
    assert "ZeroDivisionError: by nothing" in reason
    assert yard.column("lots", "lot_no") == []
    assert yard.rows("SELECT name FROM sources") == [("hulls.csv",)]


def test_h_an_encoding_that_is_none_is_refused_by_name(yard: Yard) -> None:
    yard.write(
        "intake.toml",
        """
[[files]]
match = "x.csv"
encoding = "nonsense"
[[files.tables]]
table = "hulls"
columns = { hull_serial = "hull_serial", model = "model" }
""",
    )
    yard.write("x.csv", HULLS)
    with pytest.raises(MappingError, match=r"encoding: 'nonsense' is no encoding"):
        yard.load()

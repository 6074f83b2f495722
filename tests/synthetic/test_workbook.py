from __future__ import annotations

import datetime as dt
import zipfile
from pathlib import Path

import pandas as pd
from openpyxl import load_workbook

from tracegraph.synthetic.workbook import FIXED_TIME, ZIP_TIME, write_workbook

FRAME = pd.DataFrame(
    {
        "Claim No": ["W1", "W2", "W3"],
        "Opened": ["2024-05-02", "2025-13-05", ""],
        "Cost": ["10.50", "2.25", "about 200"],
        "Hull": ["00042", "S22-0001", "S22-0002"],
    }
)


def write(path: Path) -> None:
    write_workbook(
        path, {"2024": FRAME}, {"2024": "Claims"}, dates=("Opened",), numbers=("Cost",),
        totals=("Cost",),
    )  # fmt: skip


def test_cells_are_dates_numbers_and_text_as_they_should_be(tmp_path: Path) -> None:
    write(tmp_path / "a.xlsx")
    sheet = load_workbook(tmp_path / "a.xlsx")["2024"]
    rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert rows[0][0] == "Claims"
    assert rows[1] == [None] * 4
    assert rows[2] == list(FRAME.columns)
    assert rows[3] == ["W1", dt.datetime(2024, 5, 2), 10.5, "00042"]
    assert rows[4] == ["W2", "2025-13-05", 2.25, "S22-0001"]
    assert rows[5] == ["W3", None, "about 200", "S22-0002"]
    assert rows[6] == ["Total", None, 12.75, None]


def test_neither_clock_nor_compression_shows_in_the_bytes(tmp_path: Path) -> None:
    write(tmp_path / "a.xlsx")
    write(tmp_path / "b.xlsx")
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()
    with zipfile.ZipFile(tmp_path / "a.xlsx") as book:
        for member in book.infolist():
            assert member.date_time == ZIP_TIME
            assert member.compress_type == zipfile.ZIP_STORED
    assert load_workbook(tmp_path / "a.xlsx").properties.created == FIXED_TIME

"""The workbook of a table, read back by another library."""

from __future__ import annotations

import io
import zipfile

import openpyxl
import pandas as pd

from tracegraph.report.safe_xlsx import LONGEST_CELL, to_xlsx


def test_texts_stay_texts_and_numbers_numbers() -> None:
    frame = pd.DataFrame(
        {
            "=id": ["=2+5", "007", "http://x", None],
            "value": [-4.2, float("nan"), float("inf"), 3.0],
            "built": pd.to_datetime(
                ["2026-03-09", "2026-03-09 14:30", None, None], format="ISO8601"
            ),
            "whole": pd.array([1, None, 3, 4], dtype="Int64"),
        }
    )
    content = to_xlsx(frame)
    assert to_xlsx(frame) == content
    sheet = openpyxl.load_workbook(io.BytesIO(content)).active
    assert sheet is not None
    rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert rows == [
        ["=id", "value", "built", "whole"],
        ["=2+5", -4.2, "2026-03-09", 1],
        ["007", None, "2026-03-09 14:30", None],
        ["http://x", "inf", None, 3],
        [None, 3, None, 4],
    ]
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        whole = b"".join(parts.read(name) for name in parts.namelist() if "sheet" in name)
    assert b"<f>" not in whole
    assert b"hyperlink" not in whole


def test_a_long_text_is_cut_to_what_a_cell_holds() -> None:
    content = to_xlsx(pd.DataFrame({"note": ["x" * (LONGEST_CELL + 5)]}))
    sheet = openpyxl.load_workbook(io.BytesIO(content)).active
    assert sheet is not None
    assert len(sheet["A2"].value) == LONGEST_CELL


def test_an_empty_table_has_its_heading() -> None:
    sheet = openpyxl.load_workbook(io.BytesIO(to_xlsx(pd.DataFrame(columns=["a", "b"])))).active
    assert sheet is not None
    assert [cell.value for cell in sheet[1]] == ["a", "b"]

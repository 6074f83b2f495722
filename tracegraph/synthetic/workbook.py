"""A workbook whose bytes depend on its content alone."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path

import pandas as pd
import xlsxwriter  # type: ignore[import-untyped]  # the library ships no types

FIXED_TIME = dt.datetime(2026, 7, 1)
ZIP_TIME = (2026, 7, 1, 0, 0, 0)


def write_workbook(
    path: Path,
    sheets: Mapping[str, pd.DataFrame],
    titles: Mapping[str, str],
    *,
    dates: Sequence[str] = (),
    totals: Sequence[str] = (),
    numbers: Sequence[str] = (),
) -> None:
    """Write sheets with a title, an empty row, a header on row 3, the data, and a total.

    Parameters
    ----------
    path : Path
        File to write.
    sheets : mapping of str to DataFrame
        Sheet name to rows, all text; a text that is no date or number stays text.
    titles : mapping of str to str
        Sheet name to its title.
    dates, numbers : sequence of str
        Columns to write as real dates and numbers.
    totals : sequence of str
        Columns summed in a last row that begins with "Total"; none writes no such row.

    Notes
    -----
    Members are stored without compression and with fixed times, so that neither the clock
    nor the compression library shows in the bytes.
    """
    packed = io.BytesIO()
    book = xlsxwriter.Workbook(packed, {"in_memory": True})
    book.set_properties({"created": FIXED_TIME, "author": "the sample yard (synthetic)"})
    day = book.add_format({"num_format": "yyyy-mm-dd"})
    bold = book.add_format({"bold": True})
    for name, frame in sheets.items():
        sheet = book.add_worksheet(name)
        sheet.write_string(0, 0, titles[name], bold)
        for column, header in enumerate(frame.columns):
            sheet.write_string(2, column, header, bold)
            for row, cell in enumerate(frame[header].tolist(), start=3):
                text = str(cell)
                if text == "":
                    continue
                if header in dates and _is_date(text):
                    sheet.write_datetime(row, column, dt.datetime.fromisoformat(text), day)
                elif header in numbers and _is_number(text):
                    sheet.write_number(row, column, float(text))
                else:
                    sheet.write_string(row, column, text)
        if totals and len(frame):
            last = len(frame) + 3
            sheet.write_string(last, 0, "Total", bold)
            for header in totals:
                total = sum(float(c) for c in frame[header].tolist() if _is_number(str(c)))
                sheet.write_number(last, list(frame.columns).index(header), round(total, 2))
    book.close()
    with zipfile.ZipFile(packed) as source, zipfile.ZipFile(path, "w") as target:
        for member in source.infolist():
            entry = zipfile.ZipInfo(member.filename, ZIP_TIME)
            entry.create_system = 3
            target.writestr(entry, source.read(member), zipfile.ZIP_STORED)


def _is_date(text: str) -> bool:
    try:
        dt.date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True

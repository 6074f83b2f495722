"""A workbook that runs nothing: texts stay texts, ids keep their zeros, numbers are numbers."""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any

import pandas as pd
import xlsxwriter  # type: ignore[import-untyped]  # the library ships no types

LONGEST_CELL = 32_767
"""Characters that a cell of a workbook holds."""

_MADE = datetime(2000, 1, 1)
_WIDEST = 60


def to_xlsx(frame: pd.DataFrame) -> bytes:
    """Write a frame as a workbook with one sheet.

    Parameters
    ----------
    frame : DataFrame
        Any columns; the index is left out.

    Returns
    -------
    bytes
        A heading line, then one line per row. No formula and no link; missing values are
        empty cells, dates are text as 2026-03-09. The same frame gives the same bytes.

    Examples
    --------
    >>> to_xlsx(pd.DataFrame({"lot": ["=2+5", "007"]}))[:2]
    b'PK'
    """
    content = io.BytesIO()
    workbook = xlsxwriter.Workbook(
        content,
        {
            "in_memory": True,
            "strings_to_formulas": False,
            "strings_to_urls": False,
            "strings_to_numbers": False,
        },
    )
    workbook.set_properties({"created": _MADE})
    heading = workbook.add_format({"bold": True, "text_wrap": True, "valign": "top"})
    as_text = workbook.add_format({"num_format": "@"})
    sheet = workbook.add_worksheet("Table")
    sheet.freeze_panes(1, 0)
    for place, name in enumerate(frame.columns):
        texts = [str(name), *(_text(cell) for cell in frame.iloc[:100, place])]
        sheet.set_column(place, place, min(_WIDEST, max(map(len, texts)) + 2))
        sheet.write_string(0, place, str(name), heading)
        for line, cell in enumerate(frame.iloc[:, place].astype("object"), start=1):
            if isinstance(cell, int | float) and not isinstance(cell, bool) and _finite(cell):
                sheet.write_number(line, place, cell)
            elif text := _text(cell):
                sheet.write_string(line, place, text, as_text)
    workbook.close()
    return content.getvalue()


def _finite(cell: float) -> bool:
    return abs(cell) < float("inf")


def _text(cell: Any) -> str:
    if not isinstance(cell, list | tuple | dict) and pd.isna(cell):
        return ""
    if isinstance(cell, pd.Timestamp):
        return f"{cell:%Y-%m-%d}" if cell == cell.normalize() else f"{cell:%Y-%m-%d %H:%M}"
    return str(cell)[:LONGEST_CELL]

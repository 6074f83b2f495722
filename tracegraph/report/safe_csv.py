"""CSV that a spreadsheet opens as text, whatever the records hold.

Spreadsheet programs run a cell that begins with ``=``, ``+``, ``-`` or ``@`` as a formula.
Such a text is given a leading apostrophe; numbers stay numbers.
"""

from __future__ import annotations

import csv
import re
from typing import Any

import pandas as pd

_FORMULA = re.compile(r"^[\s\x00-\x1f]*[=+\-@\uff1d\uff0b\uff0d\uff20]")
_LEADING_CONTROL = re.compile(r"^[\t\r\n]")
_NUMBER = re.compile(r"^-\d+(\.\d+)?([eE][+-]?\d+)?$")


def to_csv(frame: pd.DataFrame) -> str:
    """Write a frame as CSV text with a header line.

    Parameters
    ----------
    frame : DataFrame
        Any columns; the index is left out.

    Returns
    -------
    str
        Texts in quotes, numbers bare, missing values empty, dates as 2026-03-09.

    Examples
    --------
    >>> frame = pd.DataFrame({"lot": ["=2+5", "G-1"], "shift": [-4.2, 1.0]})
    >>> print(to_csv(frame), end="")
    "lot","shift"
    "'=2+5",-4.2
    "G-1",1.0
    """
    safe = pd.DataFrame(
        {place: _safe_column(frame.iloc[:, place]) for place in range(frame.shape[1])},
        index=frame.index,
    )
    safe.columns = pd.Index([safe_text(str(name)) for name in frame.columns])
    return safe.to_csv(index=False, lineterminator="\n", quoting=csv.QUOTE_NONNUMERIC)


def safe_text(text: str) -> str:
    r"""A text that no spreadsheet takes for a formula.

    Examples
    --------
    >>> safe_text("@SUM(A1)"), safe_text("\t=1"), safe_text("-4.2"), safe_text("BT-1001")
    ("'@SUM(A1)", "'\t=1", '-4.2', 'BT-1001')
    """
    if _NUMBER.match(text):
        return text
    return f"'{text}" if _FORMULA.match(text) or _LEADING_CONTROL.match(text) else text


def _safe_column(column: pd.Series[Any]) -> pd.Series[Any]:
    if pd.api.types.is_numeric_dtype(column) and not pd.api.types.is_bool_dtype(column):
        return column
    return column.astype("object").map(_safe_cell)


def _safe_cell(cell: Any) -> Any:
    if (
        cell is None
        or cell is pd.NaT
        or cell is pd.NA
        or (isinstance(cell, float) and cell != cell)
    ):
        return ""
    if isinstance(cell, pd.Timestamp) and cell == cell.normalize():
        return f"{cell:%Y-%m-%d}"
    return safe_text(str(cell))

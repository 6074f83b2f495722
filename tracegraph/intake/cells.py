"""Text of a workbook's cells, as the role of their column asks."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta
from typing import Any

from tracegraph.domain.records import Role

EXACT = 2**53
_LONG, _TOO_LONG, _ROUND = 1e11, 1e15, 8
_FIXED_PART = re.compile(r'"[^"]*"|\\.|[-/ ]|0')
_DATE_PART = re.compile(r'"([^"]*)"|\\(.)|(y+|m+|d+)|([^ymd"\\]+)', re.IGNORECASE)
_CLOCK_PART = re.compile(r"[ T]*h+.*$", re.IGNORECASE)
_SHORT = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def cell_text(cell: Any, decimal: str = ".") -> str:
    """Text of a cell: whole numbers without decimals, dates and times in ISO form.

    Parameters
    ----------
    cell : object
        Value of the cell.
    decimal : {".", ","}, default "."
        Mark before decimals.

    Examples
    --------
    >>> cell_text(12.0), cell_text(date(2026, 1, 5)), cell_text(True)
    ('12', '2026-01-05', 'true')
    """
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, float):
        if cell.is_integer() and abs(cell) <= EXACT:
            return str(int(cell))
        shown = repr(cell).upper()
        # Beyond it the last digits are not what was typed, and the form says so.
        shown = f"{cell:.15E}" if abs(cell) > EXACT and "E" not in shown else shown
        return shown.replace(".", decimal)
    if isinstance(cell, datetime):
        return cell.isoformat(sep=" ")
    if isinstance(cell, date | time):
        return cell.isoformat()
    if isinstance(cell, timedelta):
        return str(cell)
    return "" if cell is None else str(cell)


def formatted(cell: Any, code: str, roles: set[Role]) -> tuple[str, str] | None:
    """Text that a number format gives a cell, and the rule by which it counts.

    Parameters
    ----------
    cell : object
        Value of the cell: a number, date or time.
    code : str
        Its number format.
    roles : set of Role
        What its column is read as.

    Returns
    -------
    tuple of (str, str) or None
        None when the format does not matter to the roles.

    Examples
    --------
    >>> formatted(981.0, "000000", {Role.ID})
    ('000981', 'as the cell format shows it')
    >>> formatted(date(2010, 3, 1), "mmm-yy", {Role.ID})
    ('Mar-10', 'a date cell, as its format shows it')
    >>> formatted(0.85, "0%", {Role.NUMBER})
    ('85', 'percent format')
    """
    number = isinstance(cell, float | int) and not isinstance(cell, bool)
    if Role.ID in roles:
        shown = _number_shown(cell, code) if number else None
        if shown is not None:
            return shown, "as the cell format shows it"
        if isinstance(cell, date):
            return _date_shown(cell, code), "a date cell, as its format shows it"
    if number and "%" in code and Role.NUMBER in roles:
        return cell_text(float(f"{cell * 100:.12g}")), "percent format"
    return None


def doubtful_number(cell: Any) -> str | None:
    """Why a number cell in a column of identities may not be what was typed, or None.

    Spreadsheets keep fifteen digits, and turn 3E12 into a number.

    Examples
    --------
    >>> doubtful_number(1234567890123456.0)
    'a number cell of more than 15 digits: the last ones may be lost'
    >>> doubtful_number(981.0) is None
    True
    """
    if not isinstance(cell, float) or not _LONG <= abs(cell) <= EXACT or not cell.is_integer():
        return None
    if abs(cell) >= _TOO_LONG:
        return "a number cell of more than 15 digits: the last ones may be lost"
    digits = str(int(abs(cell)))
    zeros = len(digits) - len(digits.rstrip("0"))
    if zeros < _ROUND:
        return None
    return f"a number cell that may have been written {digits.rstrip('0')}E{zeros}"


def _number_shown(cell: Any, code: str) -> str | None:
    """Whole number in a format of zeros and fixed text, or None for another format."""
    parts = _FIXED_PART.findall(code)
    if "".join(parts) != code or "0" not in code or not float(cell).is_integer() or cell < 0:
        return None
    places = sum(part == "0" for part in parts)
    digits = f"{int(cell):0{places}d}"
    lead, rest = digits[: len(digits) - places], digits[len(digits) - places :]
    shown, taken = "", 0
    for part in parts:
        if part == "0":
            shown += (lead if taken == 0 else "") + rest[taken]
            taken += 1
        else:
            shown += part.strip('"').removeprefix("\\")
    return shown if places > 1 or len(parts) > places else None


def _date_shown(day: date, code: str) -> str:
    """Date as a spreadsheet's format shows it."""
    shown = ""
    for quoted, escaped, letters, other in _DATE_PART.findall(_CLOCK_PART.sub("", code)):
        low = letters.lower()
        if low.startswith("y"):
            shown += f"{day.year:04d}" if len(low) > 2 else f"{day.year % 100:02d}"
        elif low.startswith("m"):
            short = _SHORT[day.month - 1]
            shown += {1: str(day.month), 2: f"{day.month:02d}", 3: short}.get(len(low), f"{day:%B}")
        elif low.startswith("d"):
            shown += {1: str(day.day), 2: f"{day.day:02d}"}.get(len(low), f"{day:%a}")
        else:
            shown += quoted or escaped or other
    return shown

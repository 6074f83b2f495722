"""Text of a workbook's cells, as the role of their column asks."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta
from math import isfinite
from typing import Any

from tracegraph.domain.records import Role

EXACT = 2**53 - 1
_TINY, _LONG, _TOO_LONG, _ROUND = 1e-4, 1e11, 1e15, 8
_FIXED_PART = re.compile(r'"[^"]*"|\\.|[-/ ]|0')
_DATE_PART = re.compile(
    r'"([^"]*)"|\\(.)|(AM/PM|A/P|y+|m+|d+|h+|s+)|([^ymdhs"\\]|\\$)', re.IGNORECASE
)
_LITERAL = re.compile(r'"[^"]*"|\\.')
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
        if not isfinite(cell):
            return "#NUM!"  # as a spreadsheet shows it
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
        if isinstance(cell, date | time) and (written := _date_shown(cell, code)):
            kind = "a date cell" if isinstance(cell, date) else "a time cell"
            return written, f"{kind}, as its format shows it"
        if isinstance(cell, timedelta):
            return cell_text(cell), "a time cell in an identity"
        if number and "E" in code:
            return cell_text(cell), f"a number cell that may have been written {_scientific(cell)}"
    if number and "%" in _LITERAL.sub("", code) and Role.NUMBER in roles:
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
    if isinstance(cell, float) and 0 < abs(cell) < _TINY:
        return f"a number cell that may have been written {_scientific(cell)}"
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


def _scientific(number: float) -> str:
    """A number as it may have been typed to be shown with an exponent."""
    mantissa, exponent = f"{number:.14E}".split("E")
    return f"{mantissa.rstrip('0').rstrip('.')}E{int(exponent)}"


def _date_shown(moment: date | time, code: str) -> str:
    """Date or time as a spreadsheet's format shows it; empty when the format shows neither."""
    shown, clock = "", False
    half = re.search("AM/PM|A/P", code, re.IGNORECASE) is not None
    parts = _DATE_PART.findall(code)
    for place, (quoted, escaped, letters, other) in enumerate(parts):
        low = letters.lower()
        if low[:1] in ("h", "s") or (low[:1] == "m" and _minutes(parts, place)):
            clock = True
        shown += _shown(moment, low, clock=clock, half=half) if low else quoted or escaped or other
        clock = clock and low[:1] != "s"
    return shown if any(c.isalnum() for c in shown) else ""


def _minutes(parts: list[tuple[str, str, str, str]], place: int) -> bool:
    """Whether the m at a place stands beside hours or seconds: minutes, not a month."""
    letters = [letters.lower()[:1] for _, _, letters, _ in parts]
    before = [letter for letter in letters[:place] if letter]
    behind = [letter for letter in letters[place + 1 :] if letter]
    return before[-1:] == ["h"] or behind[:1] == ["s"]


def _shown(moment: date | time, low: str, *, clock: bool, half: bool) -> str:
    """One part of a date or time, by the letters of its format."""
    if clock or low in ("am/pm", "a/p"):
        if isinstance(moment, date) and not isinstance(moment, datetime):
            moment = datetime(moment.year, moment.month, moment.day)
        hour = (moment.hour - 1) % 12 + 1 if half else moment.hour
        value = {"h": hour, "m": moment.minute, "s": moment.second}.get(low[0])
        if value is None:
            return ("AM" if moment.hour < 12 else "PM")[: 2 if len(low) > 3 else 1]
        return f"{value:02d}" if len(low) > 1 else str(value)
    if not isinstance(moment, date):
        return ""
    if low.startswith("y"):
        return f"{moment.year:04d}" if len(low) > 2 else f"{moment.year % 100:02d}"
    if low.startswith("m"):
        short = _SHORT[moment.month - 1]
        told = {1: str(moment.month), 2: f"{moment.month:02d}", 3: short, 5: short[0]}
        return told.get(len(low), f"{moment:%B}")
    return {1: str(moment.day), 2: f"{moment.day:02d}"}.get(len(low), f"{moment:%a}")

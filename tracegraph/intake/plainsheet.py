"""Values of a worksheet straight from its XML: for sheets that the reader of values refuses.

It gives up a sheet for one error of a newer kind, a wrong stated extent or a text that is
not there, and lays out every cell up to the furthest. Nothing of that need cost a row.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime, time, timedelta
from typing import Any

from tracegraph.intake.sheetfacts import CellReader, SheetFacts, WorkbookFiles

_STRINGS = "xl/sharedStrings.xml"
_ESCAPED = re.compile("_x([0-9A-Fa-f]{4})_")
_BLOCK = re.compile("([A-Z]+)([0-9]+):([A-Z]+)([0-9]+)")
_LOST_TEXT = "#REF!"


class PlainSheet:
    """One worksheet, read from its XML.

    Parameters
    ----------
    name : str
        Of the sheet.
    files : WorkbookFiles
        The XML files of its workbook.
    facts : SheetFacts
        What the sheet tells beside its values.

    Attributes
    ----------
    start : (int, int)
        First row and column.
    merged_cell_ranges : list
        First and last row and column of each merged block, counted from 0.
    """

    start = (0, 0)

    def __init__(self, name: str, files: WorkbookFiles, facts: SheetFacts) -> None:
        self.name = name
        self.merged_cell_ranges = [
            ((int(top) - 1, _column(left)), (int(bottom) - 1, _column(right)))
            for left, top, right, bottom in (
                found.groups() for found in map(_BLOCK.fullmatch, facts.merged) if found
            )
        ]
        self._width = facts.last_column + 1
        self._last = facts.last_row
        reader = _ValueReader(files, _shared_texts(files))
        files.read_sheet(name, reader)
        self._rows = reader.rows

    def iter_rows(self) -> Iterator[list[Any]]:
        """Rows from the top of the sheet, all of one width; a blank cell is an empty text."""
        for row in range(self._last + 1):
            cells = self._rows.get(row, {})
            yield [cells.get(column, "") for column in range(self._width)]


class _ValueReader(CellReader):
    """Handlers that keep the value of each cell."""

    def __init__(self, files: WorkbookFiles, texts: list[str]) -> None:
        super().__init__(SheetFacts(), files.styles)
        self.rows: dict[int, dict[int, Any]] = {}
        self._texts = texts
        self._from = datetime(1904, 1, 1) if files.from_1904 else datetime(1899, 12, 30)
        self._held: list[str] = []

    def open_cell(self, attributes: dict[str, str]) -> None:
        super().open_cell(attributes)
        self._held = []

    def characters(self, text: str) -> None:
        super().characters(text)
        if self.inside:
            self._held.append(text)

    def close_cell(self) -> None:
        if self.present and self._held:
            row = self.rows.setdefault(self.row, {})
            row[self.column] = self._value("".join(self._held))
        self._held = []
        super().close_cell()

    def _value(self, text: str) -> Any:
        if self.kind == "s":
            place = int(text) if text.strip().isdigit() else -1
            return self._texts[place] if 0 <= place < len(self._texts) else _LOST_TEXT
        if self.kind == "b":
            return text.strip() in ("1", "true")
        if self.kind in ("str", "inlineStr"):
            return unescaped(text)
        if self.kind != "n":
            return text
        try:
            number = float(text)
        except ValueError:
            return text
        return self._moment(number) if is_moment(self.style) else number

    def _moment(self, days: float) -> Any:
        """Date, time of day or both that a day count stands for; the count where none can be."""
        if not 0 <= days < 2_958_466:
            return days
        if days < 1:
            return (datetime.min + timedelta(seconds=round(days * 86400))).time()
        early = self._from.year == 1899 and days < 60
        moment = self._from + timedelta(days=days + early)
        moment = datetime.min + timedelta(seconds=round((moment - datetime.min).total_seconds()))
        return moment.date() if moment.time() == time() else moment


def is_moment(code: str | None) -> bool:
    """Whether a number format shows a date or a time."""
    bare = re.sub(r'"[^"]*"|\\.', "", code or "")
    return re.search("[dmyh]|s", bare, re.IGNORECASE) is not None


def unescaped(text: str) -> str:
    r"""Text without a workbook's way of writing control characters.

    Examples
    --------
    >>> unescaped("a_x000D_b_x0041_")
    'a\rbA'
    """
    return _ESCAPED.sub(lambda match: chr(int(match[1], 16)), text)


def _shared_texts(files: WorkbookFiles) -> list[str]:
    """Texts that cells refer to by their number, without what only tells how to read them."""
    texts: list[list[str]] = []
    inside = [False]
    spoken = [False]

    def on_start(tag: str, _: dict[str, str]) -> None:
        tag = tag.rpartition(":")[2]
        if tag == "si":
            texts.append([])
        if tag in ("si", "r", "rPh"):
            spoken[0] = tag == "rPh"
        inside[0] = tag == "t" and not spoken[0]

    def on_text(text: str) -> None:
        if inside[0] and texts:
            texts[-1].append(text)

    if files.holds(_STRINGS):
        files.parse(_STRINGS, on_start, on_text)
    return [unescaped("".join(parts)) for parts in texts]


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number - 1

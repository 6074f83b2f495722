"""Bring the sheets of an XLSX workbook into the staging table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta
from itertools import islice
from typing import Any

from python_calamine import (
    CalamineError,
    CalamineSheet,
    CalamineWorkbook,
    SheetTypeEnum,
    SheetVisibleEnum,
)

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import TABLE_BY_NAME
from tracegraph.intake.folder import FoundFile
from tracegraph.intake.headers import SEARCHED, find_header, make_headers, wanted_headers
from tracegraph.intake.ledger import Remark
from tracegraph.intake.mapping import FileRule
from tracegraph.intake.staging import Page, fill_page
from tracegraph.store import Build

_EXACT = 2**53


class Workbook:
    """One workbook.

    Parameters
    ----------
    file : FoundFile
        Where it is.
    rule : FileRule or None
        What the mapping says about it.

    Raises
    ------
    IntakeError
        If it is no workbook, is locked by a password, or lacks a sheet that is named.
    """

    def __init__(self, file: FoundFile, rule: FileRule | None) -> None:
        self.file = file
        self.rule = rule
        try:
            self._book = CalamineWorkbook.from_path(str(file.path))
        except CalamineError as error:
            raise IntakeError(
                f"is not a readable workbook ({_first_line(error)}); save it again as XLSX, "
                "without a password"
            ) from error
        self.left_out: list[Remark] = []
        self.sheets = self._chosen()

    def _chosen(self) -> list[str]:
        known = {sheet.name: sheet for sheet in self._book.sheets_metadata}
        if self.rule is not None and self.rule.sheets is not None:
            for name in self.rule.sheets:
                if name not in known:
                    raise IntakeError(f"has no sheet {name!r}; it has {', '.join(known)}")
            return list(self.rule.sheets)
        chosen: list[str] = []
        for name, sheet in known.items():
            if sheet.typ != SheetTypeEnum.WorkSheet:
                self.left_out.append(Remark("sheet", 0, f"sheet {name!r} holds no cells"))
            elif sheet.visible != SheetVisibleEnum.Visible:
                self.left_out.append(
                    Remark("hidden sheet", 0, f"sheet {name!r} is hidden; name it to load it")
                )
            else:
                chosen.append(name)
        return chosen

    def stage(self, build: Build, name: str) -> Page | None:
        """Fill the staging table from one sheet.

        Parameters
        ----------
        build : Build
            The build being loaded.
        name : str
            Name of the sheet.

        Returns
        -------
        Page or None
            None when the sheet is empty.
        """
        try:
            sheet = self._book.get_sheet_by_name(name)
        except CalamineError as error:
            raise IntakeError(f"sheet {name!r} cannot be read: {_first_line(error)}") from error
        first_row = sheet.start[0] + 1 if sheet.start else 1
        top = [[cell_text(cell) for cell in row] for row in islice(_rows(sheet), SEARCHED)]
        if not any(any(row) for row in top):
            self.left_out.append(Remark("sheet", 0, f"sheet {name!r} is empty"))
            return None
        if self.rule is not None and self.rule.header_row is not None:
            at = self.rule.header_row - first_row
            if not 0 <= at < len(top):
                raise IntakeError(f"sheet {name!r} has no row {self.rule.header_row} for a header")
        else:
            at = find_header(top, wanted_headers(self.stem(name), self.rule))
        headers = make_headers(top[at])
        page = Page(headers, "p.source_row", sheet=name, titles=at)
        fill_page(build, len(headers.names), self._body(sheet, at, first_row, page))
        return page

    def stem(self, sheet: str) -> str:
        """Name by which a sheet is known: its own when it is a table's, else the file's."""
        own = sheet.strip().casefold()
        return own if own in TABLE_BY_NAME else self.file.stem

    def _body(
        self, sheet: CalamineSheet, at: int, first_row: int, page: Page
    ) -> Iterator[tuple[int, Sequence[str | None]]]:
        for offset, row in enumerate(_rows(sheet)):
            if offset <= at:
                continue
            texts = [cell_text(cell) for cell in row]
            if any(texts):
                yield first_row + offset, texts
            else:
                page.blank += 1


def _rows(sheet: CalamineSheet) -> Iterator[list[Any]]:
    return iter(sheet.iter_rows())


def cell_text(cell: Any) -> str:
    """Text of a cell: whole numbers without decimals, dates and times in ISO form.

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
        return str(int(cell)) if cell.is_integer() and abs(cell) <= _EXACT else repr(cell)
    if isinstance(cell, datetime):
        return cell.isoformat(sep=" ")
    if isinstance(cell, date | time):
        return cell.isoformat()
    if isinstance(cell, timedelta):
        return str(cell)
    return "" if cell is None else str(cell)


def _first_line(error: BaseException) -> str:
    return (str(error).splitlines() or ["unknown fault"])[0]

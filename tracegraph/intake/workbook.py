"""Bring the sheets of an XLSX workbook into the staging table."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from io import BytesIO
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
from tracegraph.domain.records import TABLE_BY_NAME, Role
from tracegraph.intake.cells import cell_text, doubtful_number, formatted
from tracegraph.intake.folder import FoundFile
from tracegraph.intake.headers import (
    SEARCHED,
    find_header,
    fold,
    make_headers,
    named_by_us,
    wanted_headers,
)
from tracegraph.intake.ledger import Remark
from tracegraph.intake.mapping import FileRule
from tracegraph.intake.plainsheet import PlainSheet
from tracegraph.intake.rules import ReadingRules, SerialDates
from tracegraph.intake.sheetfacts import SheetFacts, WorkbookFiles
from tracegraph.intake.staging import Page, fill_page
from tracegraph.store import Build

_FROM_BLOCK = "filled from merged cells"
_NAMED_CELLS = 5  # addresses that a remark gives


class Workbook:
    """One workbook.

    Parameters
    ----------
    file : FoundFile
        Where it is.
    rule : FileRule or None
        What the mapping says about it.

    Attributes
    ----------
    left_out : list of Remark
        Sheets that are not read, and why.
    days_from : {"1900", "1904"}
        Year from which its days are counted.

    Raises
    ------
    IntakeError
        If it is no workbook, is locked by a password, or lacks a sheet that is named.
    """

    def __init__(self, file: FoundFile, rule: FileRule | None) -> None:
        self.file = file
        self.rule = rule
        self.left_out: list[Remark] = []
        self._files = WorkbookFiles(file.path)
        self.days_from: SerialDates = "1904" if self._files.from_1904 else "1900"
        try:
            # By its bytes: the reader would go by the name.
            self._book = CalamineWorkbook.from_filelike(BytesIO(file.path.read_bytes()))
        except CalamineError as error:
            raise IntakeError(
                f"is not a readable workbook ({_first_line(error)}); save it again as XLSX"
            ) from error

    def sheets(self) -> Iterator[WorkSheet]:
        """Sheets to read, one after another."""
        for name in self._chosen():
            facts = self._files.facts(name)
            if facts.filled == 0:
                self._leave_out(name, "is empty")
            else:
                yield WorkSheet(self, self._sheet(name, facts), facts)

    def _sheet(self, name: str, facts: SheetFacts) -> CalamineSheet | PlainSheet:
        """Values of a sheet, by the one reader or by the other where that gives up."""
        if not facts.scattered:
            try:
                return self._book.get_sheet_by_name(name)
            except CalamineError:
                pass
        return PlainSheet(name, self._files, facts)

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
                self._leave_out(name, "holds no cells")
            elif sheet.visible != SheetVisibleEnum.Visible:
                self._leave_out(name, "is hidden; name it under sheets in intake.toml to load it")
            else:
                chosen.append(name)
        return chosen

    def _leave_out(self, name: str, reason: str) -> None:
        self.left_out.append(Remark("sheet", 0, f"sheet {name!r} {reason}"))


class WorkSheet:
    """One sheet of a workbook; see :class:`~tracegraph.intake.staging.Sheet`.

    Attributes
    ----------
    name : str
        Name of the sheet.
    stem : str
        The sheet's own name when it is a table's, else the workbook's.
    headers : Headers
        Headers of its columns.
    share_read : float
        Share of its rows that is staged.
    """

    def __init__(
        self, book: Workbook, sheet: CalamineSheet | PlainSheet, facts: SheetFacts
    ) -> None:
        self.share_read: float | None = 0.0
        self.name: str = sheet.name
        own = self.name.strip().casefold()
        self.stem = own if own in TABLE_BY_NAME else book.file.stem
        self._sheet = sheet
        self._facts = facts
        self._left = sheet.start[1] if sheet.start else 0
        self._merged = _merged_cells(sheet, facts.last_row)
        self._days_from: SerialDates = book.days_from
        self._find_header(book.rule)

    def _rows(self) -> Iterator[tuple[int, list[Any]]]:
        """Rows from the top of the sheet, counted from 0; merged blocks are filled."""
        for row, cells in enumerate(self._sheet.iter_rows()):
            for column, (_, source) in self._merged.get(row, {}).items():
                if column - self._left < len(cells) and cells[column - self._left] == "":
                    cells[column - self._left] = source
            yield row, cells

    def _find_header(self, rule: FileRule | None) -> None:
        top = [[cell_text(cell) for cell in cells] for _, cells in islice(self._rows(), SEARCHED)]
        wanted = wanted_headers(self.stem, rule)
        combined = [self._combined(top, row) for row in range(len(top))]
        if rule is not None and rule.header_row is not None:
            self._at = rule.header_row - 1
            if self._at >= len(top):
                raise IntakeError(f"sheet {self.name!r} ends above row {rule.header_row}")
        else:
            rows = [[*plain, *joined] for plain, joined in zip(top, combined, strict=True)]
            self._at = find_header(rows, wanted)
        plain, joined = top[self._at], combined[self._at]
        self.headers = make_headers(
            [
                p if fold(p) in wanted and fold(j) not in wanted else j
                for p, j in zip(plain, joined, strict=True)
            ]
        )

    def _combined(self, top: list[list[str]], row: int) -> list[str]:
        """Header cells of a row, each under the merged headings above it."""
        cells = list(top[row])
        for above in range(row - 1, -1, -1):
            headings = self._wide_headings(above, len(cells))
            if not headings:
                break
            for index, text in enumerate(cells):
                heading = headings.get(index + self._left)
                if heading and text and not text.startswith(heading):
                    cells[index] = f"{heading} {text}"
        return cells

    def _wide_headings(self, row: int, width: int) -> dict[int, str]:
        """Text of cells in a row that are merged over several columns, but not over all."""
        headings: dict[int, str] = {}
        for (top, left), (bottom, right) in self._sheet.merged_cell_ranges or []:
            if top <= row <= bottom and left < right < left + width - 1 and bottom == row:
                source = self._cell(top, left)
                headings |= dict.fromkeys(range(left, right + 1), cell_text(source))
        return headings

    def _cell(self, row: int, column: int) -> Any:
        cells = next(islice(self._sheet.iter_rows(), row, None), [])
        index = column - self._left
        return cells[index] if 0 <= index < len(cells) else ""

    def stage(self, build: Build, roles: Mapping[int, set[Role]], rules: ReadingRules) -> Page:
        """Fill the staging table; see :class:`~tracegraph.intake.staging.Sheet`."""
        page = Page(self.headers, "p.source_row", header_row=self._at + 1, titles=self._at)
        page.days_from = self._days_from
        width = len(self.headers.names)
        decimal = rules.decimal or "."
        fill_page(build, width, self._body(page, roles, decimal))
        self._remark(page)
        return page

    def sample(self, most: int) -> list[list[str]]:
        """First rows below the header, as text."""
        rows = self._body(Page(self.headers, ""), {}, ".")
        return [row for _, row in islice(rows, most)]

    def _body(
        self, page: Page, roles: Mapping[int, set[Role]], decimal: str
    ) -> Iterator[tuple[int, list[str]]]:
        facts = self._facts
        for row, cells in self._rows():
            if row <= self._at or row > facts.last_row:
                continue
            self.share_read = row / facts.last_row
            texts = [cell_text(cell, decimal) for cell in cells]
            block = self._merged.get(row, {})
            for index, text in enumerate(texts):
                column = index + self._left
                # A block shows its value as its first cell's format does.
                place = (block[column][0] if column in block else row, column)
                if place in facts.errors:
                    texts[index] = facts.errors[place]
                elif place in facts.formats:
                    shown = formatted(cells[index], facts.formats[place], roles.get(index, set()))
                    if shown is not None:
                        texts[index] = shown[0]
                    if shown is not None and column not in block:
                        page.notes.append((row + 1, index, text, *shown))
                elif text and column not in block and Role.ID in roles.get(index, ()):
                    doubt = doubtful_number(cells[index])
                    if isinstance(cells[index], date):
                        doubt = "a date cell in an identity"
                    if doubt is not None:
                        page.notes.append((row + 1, index, text, text, doubt))
            if not any(texts):
                page.blank += 1
                continue
            for column in block:
                index = column - self._left
                if 0 <= index < len(texts):
                    page.notes.append((row + 1, index, "", texts[index], _FROM_BLOCK))
            yield row + 1, texts

    def _remark(self, page: Page) -> None:
        facts = self._facts
        hidden = sum(1 for row in facts.hidden_rows if row > self._at)
        if hidden:
            page.remarks.append(Remark("hidden rows", hidden, f"{hidden} hidden rows included"))
        columns = [
            repr(self.headers.names[column - self._left])
            for column in sorted(facts.hidden_columns)
            if 0 <= column - self._left < len(self.headers.names)
        ]
        if columns:
            text = f"hidden columns are read too: {', '.join(columns)}"
            page.remarks.append(Remark("hidden columns", 0, text))
        if facts.without_result:
            cells = ", ".join(facts.without_result[:_NAMED_CELLS])
            more = len(facts.without_result) - _NAMED_CELLS
            text = f"formula without stored result in {cells}"
            text += f" and {more} more cells" if more > 0 else ""
            page.remarks.append(
                Remark("formula", len(facts.without_result), f"{text}; save the workbook again")
            )
        filled = sum(note[4] == _FROM_BLOCK for note in page.notes)
        if filled:
            text = f"{filled} cells are filled from the merged block they lie in"
            page.remarks.append(Remark("merged cells", filled, text))
        page.remarks += named_by_us(page.headers)


def _merged_cells(
    sheet: CalamineSheet | PlainSheet, last_row: int
) -> dict[int, dict[int, tuple[int, Any]]]:
    """First row and value of each block merged down a column, by the rows below the first."""
    ranges = [r for r in sheet.merged_cell_ranges or [] if r[1][0] > r[0][0]]
    tops: dict[int, list[tuple[int, int]]] = {}
    for (top, left), (bottom, _) in ranges:
        tops.setdefault(top, []).append((left, bottom))
    filled: dict[int, dict[int, tuple[int, Any]]] = {}
    start = sheet.start[1] if sheet.start else 0
    for row, cells in enumerate(sheet.iter_rows()):
        for left, bottom in tops.get(row, []):
            value = cells[left - start] if 0 <= left - start < len(cells) else ""
            for below in range(row + 1, min(bottom, last_row) + 1):
                if value != "":
                    filled.setdefault(below, {})[left] = (row, value)
    return filled


def _first_line(error: BaseException) -> str:
    return (str(error).splitlines() or ["unknown fault"])[0]

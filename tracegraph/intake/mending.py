"""Hand out the rows that were set aside, and take them back when they are mended.

Each row goes out in the file, sheet and columns that it came in, with its reason and a
mark that tells which row it is. Loaded again, the mark takes the first line off the list.
"""

from __future__ import annotations

import csv
import json
import re
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path

import xlsxwriter  # type: ignore[import-untyped]  # the library ships no types

from tracegraph.domain.errors import IntakeError
from tracegraph.intake.compose import compose
from tracegraph.intake.ids import FORMULA_STARTS
from tracegraph.intake.mended_names import mended_name
from tracegraph.intake.staging import Page
from tracegraph.store import Build, Store
from tracegraph.store.queries import sql_text

REASON = "reason set aside"
MARK = "set aside as"
_LINE = "line as written"
_NEGATIVE = re.compile(r"-\d+(\.\d+)?")


@dataclass(frozen=True)
class _Row:
    source_id: int
    name: str
    sheet: str | None
    encoding: str | None
    delimiter: str | None
    header_row: int
    headers: list[str]
    mark: str
    reason: str
    cells: dict[str, str | None]


def export_set_aside(store: Store, folder: Path) -> list[Path]:
    """Write the rows that are set aside as files in the form that they came in.

    Put the mended files anywhere in the folder of records, such as in a subfolder, and
    load it again: the same mapping reads them.

    Parameters
    ----------
    store : Store
        The build in force.
    folder : Path
        Where to write; made when it is missing.

    Returns
    -------
    list of Path
        The files. Text comes as text and workbooks as workbooks; rows of Parquet files
        and queries come as CSV, under names by which the mapping knows them again.

    Raises
    ------
    IntakeError
        If the folder cannot be written.
    """
    rows = [
        _Row(
            source_id=source_id,
            name=name,
            sheet=sheet,
            encoding=encoding,
            delimiter=delimiter,
            header_row=int(header_row or 1),
            headers=json.loads(headers or "[]"),
            mark=mark,
            reason=reason,
            cells=json.loads(raw),
        )
        for (
            source_id,
            name,
            sheet,
            encoding,
            delimiter,
            header_row,
            headers,
            mark,
            reason,
            raw,
        ) in store.rows(sql_text("intake/exported_rows"))
    ]
    written = []
    for name, of_file in groupby(rows, key=lambda row: row.name):
        held = list(of_file)
        path = folder / (name if held[0].sheet is not None else mended_name(name))
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            write = _write_text if held[0].sheet is None else _write_workbook
            write(path, held)
        except OSError as error:
            raise IntakeError(
                f"{path} cannot be written: {error.strerror}. Choose another folder."
            ) from error
        written.append(path)
    return written


def _columns(rows: list[_Row]) -> list[str]:
    """Headers of the file, of what contradictions hold, and of what the export adds."""
    names = dict.fromkeys(rows[0].headers)
    lines = any(set(row.cells) == {"line"} for row in rows)
    for row in rows:
        if set(row.cells) != {"line"}:
            names |= dict.fromkeys(row.cells)
    added = [REASON, MARK, *([_LINE] if lines else [])]
    return [name for name in names if name not in added] + added


def _cells(row: _Row, columns: list[str]) -> list[str]:
    values = dict(row.cells)
    if set(values) == {"line"}:
        values = {_LINE: values["line"]}
    values |= {REASON: row.reason, MARK: row.mark}
    return [values.get(name) or "" for name in columns]


def _write_text(path: Path, rows: list[_Row]) -> None:
    columns = _columns(rows)
    encoding = rows[0].encoding or "utf-8"
    encoding = "utf-8-sig" if encoding.startswith("utf") else encoding
    with path.open("w", encoding=encoding, errors="replace", newline="") as file:
        writer = csv.writer(file, delimiter=rows[0].delimiter or ",")
        file.write("\n" * (rows[0].header_row - 1))
        writer.writerow(columns)
        writer.writerows([_harmless(cell) for cell in _cells(row, columns)] for row in rows)


def _write_workbook(path: Path, rows: list[_Row]) -> None:
    book = xlsxwriter.Workbook(str(path), {"strings_to_formulas": False, "strings_to_urls": False})
    for sheet, of_sheet in groupby(rows, key=lambda row: row.sheet):
        held = list(of_sheet)
        columns = _columns(held)
        page = book.add_worksheet(sheet)
        top = held[0].header_row - 1
        page.write_row(top, 0, columns)
        for number, row in enumerate(held, start=top + 1):
            for column, cell in enumerate(_cells(row, columns)):
                page.write_string(number, column, cell)
    book.close()


def _harmless(cell: str) -> str:
    """Cell that no spreadsheet takes for a formula; reading takes the apostrophe off."""
    risky = cell.startswith((*FORMULA_STARTS, "\t", "\r"))
    return f"'{cell}" if risky and not _NEGATIVE.fullmatch(cell) else cell


def settle_mended(build: Build, page: Page, source_id: int) -> None:
    """Take rows off the list of those set aside that a page brings back.

    Parameters
    ----------
    build : Build
        Holds the page.
    page : Page
        A page that may hold the column of marks.
    source_id : int
        Number of the page's own source.
    """
    if MARK not in page.headers.names:
        return
    column = f"c{page.headers.names.index(MARK)}"
    build.execute(compose("intake/settle_mended", token=column), {"source_id": source_id})

"""A folder of records under a test's hands, and the store that it is loaded into."""

from __future__ import annotations

from datetime import date, datetime, time
from pathlib import Path
from typing import Any

import xlsxwriter

from tracegraph.domain.records import TABLE_BY_NAME
from tracegraph.intake import FileLedger, LoadReport, load_folder
from tracegraph.store import StoreDirectory, open_store


class Yard:
    """Writes files, loads them, and looks at what became of them."""

    def __init__(self, base: Path) -> None:
        self.folder = base / "records"
        self.folder.mkdir()
        self.directory = StoreDirectory(base / "store")
        self.report: LoadReport | None = None

    def write(self, name: str, content: str | bytes) -> Path:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    def load(self, *, fresh: bool = False) -> LoadReport:
        self.report = load_folder(self.folder, self.directory, fresh=fresh)
        assert not any("fault of this" in out.reason for out in self.report.left_out)
        for file in self.report.files:
            parts = file.loaded + file.set_aside + file.repeats + file.furniture
            assert file.seen == parts, file
        return self.report

    def load_files(self, **files: str | bytes) -> LoadReport:
        """Write ``name__csv="..."`` as ``name.csv`` and load."""
        for name, content in files.items():
            self.write(name.replace("__", "."), content)
        return self.load()

    def ledger(self, name: str) -> FileLedger:
        assert self.report is not None
        return next(file for file in self.report.files if file.name == name)

    def rows(self, text: str) -> list[tuple[Any, ...]]:
        with open_store(self.directory.path) as store:
            return store.rows(text)

    def column(self, table: str, field: str) -> list[Any]:
        rows = self.rows(f'SELECT "{field}" FROM {table} ORDER BY source_id, source_row')
        return [value for (value,) in rows]

    def records(self, table: str) -> list[tuple[Any, ...]]:
        """Records without where they came from, sorted."""
        fields = ", ".join(f'"{name}"' for name in TABLE_BY_NAME[table].field_names)
        return self.rows(f"SELECT {fields} FROM {table} ORDER BY ALL")

    def left_out(self) -> dict[str, str]:
        assert self.report is not None
        return {out.name: out.reason for out in self.report.left_out}

    def remarks(self, kind: str) -> list[tuple[int, str]]:
        rows = self.rows("SELECT kind, affected, text FROM remarks ORDER BY ALL")
        return [(affected, text) for found, affected, text in rows if found == kind]

    def cleaned(self, field: str) -> list[tuple[Any, ...]]:
        """Row, text as written, value and rule of each changed value of a field."""
        return self.rows(
            "SELECT source_row, raw, value, rule FROM cleaned_values "
            f"WHERE column_name = '{field}' ORDER BY ALL"
        )

    def reasons(self) -> list[tuple[int, str]]:
        """Row and reason of each row set aside."""
        return self.rows("SELECT source_row, reason FROM set_aside ORDER BY ALL")

    def workbook(self, name: str, rows: list[list[Any]], sheet: str = "Sheet1") -> None:
        """Write one sheet; a cell may be a pair of value and number format."""
        self.workbooks(name, {sheet: rows})

    def workbooks(self, name: str, sheets: dict[str, list[list[Any]]]) -> None:
        """Write sheets of one workbook."""
        book = xlsxwriter.Workbook(str(self.folder / name))
        for title, rows in sheets.items():
            sheet = book.add_worksheet(title)
            for number, row in enumerate(rows):
                for column, cell in enumerate(row):
                    value, code = cell if isinstance(cell, tuple) else (cell, "General")
                    write_cell(sheet, number, column, value, book.add_format({"num_format": code}))
        book.close()


def write_cell(sheet: Any, row: int, column: int, value: Any, form: Any) -> None:
    """Write a cell as the kind that its value is."""
    if isinstance(value, datetime | date | time):
        sheet.write_datetime(row, column, value, form)
    elif isinstance(value, str):
        sheet.write_string(row, column, value, form)
    elif value is not None:
        sheet.write(row, column, value, form)

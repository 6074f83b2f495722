"""A folder of records under a test's hands, and the store that it is loaded into."""

from __future__ import annotations

from pathlib import Path
from typing import Any

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

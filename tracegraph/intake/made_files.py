"""Records that stand in no file of the folder: rows of queries, renamed molds.

They are written to text files beside the build, read like any other, and deleted.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from pathlib import Path
from types import TracebackType

from tracegraph.domain.errors import IntakeError
from tracegraph.intake.databases import password_environment, write_rows
from tracegraph.intake.folder import Form, FoundFile, LeftOut
from tracegraph.intake.mapping import FileRule, IntakeSettings, TableRule

RENAMED_MOLDS = "intake.toml (renamed molds)"
_COLUMNS = ("mold_no", "at", "event", "note")


class MadeFiles:
    """Files made for one load; deleted at its end.

    Parameters
    ----------
    settings : IntakeSettings
        Names the queries and the renamed molds.
    folder : Path
        The folder of records.
    beside : Path
        The store directory, where an unfinished file is swept away by the next load.
    say : callable
        Told which query gives rows, and how many have come.

    Attributes
    ----------
    files : list of (FoundFile, FileRule)
        The files, each with the rule by which it is read.
    left_out : list of LeftOut
        Queries that gave nothing, and why.
    """

    def __init__(
        self, settings: IntakeSettings, folder: Path, beside: Path, say: Callable[[str], None]
    ) -> None:
        self._settings = settings
        self._folder = folder
        self._beside = beside
        self._say = say
        self._paths: list[Path] = []
        self.files: list[tuple[FoundFile, FileRule | None]] = []
        self.left_out: list[LeftOut] = []

    def __enter__(self) -> MadeFiles:
        try:
            self._make()
        except BaseException:
            self._remove()
            raise
        return self

    def _make(self) -> None:
        if self._settings.renamed_molds:
            self._write_molds()
        for query in self._settings.queries:
            name = query.ledger_name
            path = self._path()
            try:
                tell = partial(self._tell, name)
                write_rows(query, self._folder, path, password_environment(), tell)
            except IntakeError as error:
                self.left_out.append(LeftOut(name, str(error), False))
                continue
            self.files.append((FoundFile(path, name, Form.TEXT, False), query.file_rule))

    def _tell(self, name: str, rows: int) -> None:
        self._say(f"{name}: {rows:,} rows so far")

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._remove()

    def _remove(self) -> None:
        for path in self._paths:
            with suppress(OSError):
                path.unlink()

    def _path(self) -> Path:
        path = self._beside / f"made-{len(self._paths)}.unfinished"
        self._paths.append(path)
        return path

    def _write_molds(self) -> None:
        path = self._path()
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(_COLUMNS)
            for mold in self._settings.renamed_molds:
                writer.writerow([mold.old, mold.on.isoformat(), "renamed", mold.new])
        columns = {name: name for name in _COLUMNS}
        table = TableRule(table="mold_events", columns=columns, constants={})
        rule = FileRule(match="*", tables=(table,), delimiter=",", header_row=1)
        self.files.append((FoundFile(path, RENAMED_MOLDS, Form.TEXT, False), rule))

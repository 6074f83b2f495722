"""Load a folder of records into a new build."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import TABLE_BY_NAME
from tracegraph.intake.bytescan import ByteScan, fingerprint, scan
from tracegraph.intake.carrying import carry_over
from tracegraph.intake.filling import read_page, roles_of
from tracegraph.intake.finishing import READING_VERSION, finish
from tracegraph.intake.folder import Form, FoundFile, LeftOut, survey
from tracegraph.intake.headers import NOT_UNDERSTOOD
from tracegraph.intake.ledger import FileLedger, LoadReport, Remark
from tracegraph.intake.mapping import FileRule, IntakeSettings
from tracegraph.intake.parquet import ParquetSheet
from tracegraph.intake.planning import own_table_rule, plan_sheet
from tracegraph.intake.progress import Progress, Unwatched
from tracegraph.intake.resolving import resolve
from tracegraph.intake.settings import read_settings
from tracegraph.intake.spelling import restore_codes, unify_spellings
from tracegraph.intake.staging import Sheet
from tracegraph.intake.textfile import TextFile
from tracegraph.intake.workbook import Workbook
from tracegraph.store import Build, StoreDirectory, open_store
from tracegraph.store.queries import sql_text
from tracegraph.store.writer import new_build


@dataclass(frozen=True)
class _Candidate:
    """One file with its fingerprint and the rules by which it would be read."""

    file: FoundFile
    sha256: str
    scan: ByteScan | None
    rule: FileRule | None
    reading: str

    @property
    def understood(self) -> bool:
        """Whether a mapping or its own name says what it is; a workbook's sheets may."""
        return (
            self.rule is not None
            or self.file.stem in TABLE_BY_NAME
            or self.file.form is Form.WORKBOOK
        )


class _NothingNewError(Exception):
    """Raised inside a build to drop it: every row was known."""


def load_folder(
    folder: Path,
    directory: StoreDirectory,
    *,
    progress: Progress | None = None,
    fresh: bool = False,
) -> LoadReport:
    """Read all files of a folder, add their records to the store, and put them in force.

    Parameters
    ----------
    folder : Path
        The folder of records; see the data-format page.
    directory : StoreDirectory
        The store.
    progress : Progress, optional
        Someone who watches.
    fresh : bool, default False
        Begin without the records in force.

    Returns
    -------
    LoadReport
        Where each row of each file went. Nothing is written, and ``changed`` is False,
        when every file was loaded before in the same way.

    Raises
    ------
    IntakeError
        If the folder holds nothing that can be read, or its ``intake.toml`` is wrong.
    StoreBusyError
        If another load holds the store.
    StoreError
        If the disk is full or the store cannot be written.
    """
    watcher = progress or Unwatched()
    with directory.loading():
        found, left_out = survey(folder)
        settings = read_settings(folder)
        watcher.start(sum(file.path.stat().st_size for file in found))
        try:
            return _Load(directory, settings, watcher, left_out, fresh).run(found)
        finally:
            watcher.end()


class _Load:
    def __init__(
        self,
        directory: StoreDirectory,
        settings: IntakeSettings,
        watcher: Progress,
        left_out: list[LeftOut],
        fresh: bool,
    ) -> None:
        self.directory = directory
        self.settings = settings
        self.watcher = watcher
        self.left_out = left_out
        self.earlier = None if fresh else directory.current()
        self.remarks: list[Remark] = []
        self.repeats: list[FileLedger] = []
        self.copies: dict[str, str] = {}
        self.forgotten: list[str] = []
        self.done = 0

    def run(self, found: list[FoundFile]) -> LoadReport:
        known, version = self._known()
        candidates = self._fresh_ones(found, known)
        try:
            return self._build(candidates)
        except _NothingNewError:
            return self._report(version, changed=False, loaded=[])

    def _build(self, candidates: list[_Candidate]) -> LoadReport:
        if not candidates and self.repeats:
            raise _NothingNewError
        with new_build(self.directory) as build:
            if self.earlier is not None:
                self.watcher.step("taking over the records in force", self.done)
                carry_over(build, self.earlier, self.forgotten)
            build.run("intake/macros")
            build.run("intake/begin")
            load_no = int(build.scalar("SELECT coalesce(max(load_no), 0) + 1 FROM sources"))
            for candidate in candidates:
                self.watcher.step(candidate.file.name, self.done)
                self._read(build, candidate, load_no)
                self.done += candidate.file.path.stat().st_size
            if not build.scalar(sql_text("intake/sources_of_load"), {"load_no": load_no}):
                if self.repeats:
                    raise _NothingNewError
                raise IntakeError(self._nothing_read())
            self.watcher.step("settling repeats and spellings", self.done)
            restore_codes(build)
            unify_spellings(build, self.settings.apart)
            resolve(build)
            self._keep_remarks(build)
            build.run_folder("intake/doubts")
            version = finish(
                build,
                self.directory,
                self.settings.zone,
                lambda text: self.watcher.step(text, self.done),
            )
            loaded = self._ledgers(build, load_no)
        return self._report(version, changed=True, loaded=loaded)

    def _ledgers(self, build: Build, load_no: int) -> list[FileLedger]:
        rows = build.rows(sql_text("intake/ledgers"), {"load_no": load_no})
        loaded = [FileLedger(name, *(int(count) for count in counts)) for name, *counts in rows]
        by_name = {file.name: file for file in loaded}
        for copy, original in self.copies.items():
            if original in by_name:
                seen, furniture = by_name[original].seen, by_name[original].furniture
                loaded.append(FileLedger(copy, seen, repeats=seen - furniture, furniture=furniture))
        return loaded

    def _known(self) -> tuple[dict[tuple[str, str], tuple[int, int]], str]:
        """Rows and furniture of each file in force, by fingerprint and reading."""
        if self.earlier is None:
            return {}, ""
        with open_store(self.directory.path) as store:
            rows = store.rows(sql_text("intake/known_sources"))
            return {
                (s, r): (int(seen), int(furniture)) for s, r, seen, furniture in rows
            }, store.version

    def _fresh_ones(
        self, found: list[FoundFile], known: dict[tuple[str, str], tuple[int, int]]
    ) -> list[_Candidate]:
        candidates: list[_Candidate] = []
        for file in found:
            self.watcher.step(f"{file.name}: looking through its bytes", self.done)
            rule = self.settings.rule_for(file.inner)
            try:
                looked = scan(file.path, packed=file.packed) if file.form is Form.TEXT else None
                sha256 = looked.sha256 if looked else fingerprint(file.path)
            except IntakeError as error:
                self._leave_out(file.name, str(error))
                continue
            reading = self._reading(file, rule)
            candidates.append(_Candidate(file, sha256, looked, rule, reading))
        return self._without_copies(candidates, known)

    def _without_copies(
        self, candidates: list[_Candidate], known: dict[tuple[str, str], tuple[int, int]]
    ) -> list[_Candidate]:
        """Leave files whose bytes are known, or come twice, to the ledger of repeats."""
        originals: dict[tuple[str, str], str] = {}
        kept = []
        named = [c for c in candidates if c.understood]
        by_bytes = dict(known.keys()) | {c.sha256: c.reading for c in reversed(named)}
        before = {sha256 for sha256, _ in known}
        if any(c.sha256 in before and (c.sha256, c.reading) not in known for c in named):
            # What one file no longer says, another may have said too: read all of them anew.
            self.forgotten = sorted(before.intersection(c.sha256 for c in candidates))
            known = {}
        for candidate in (*named, *(c for c in candidates if not c.understood)):
            reading = candidate.reading
            if not candidate.understood:
                reading = by_bytes.get(candidate.sha256, reading)
            key = (candidate.sha256, reading)
            name = candidate.file.name
            if key in known:
                seen, furniture = known[key]
                self.repeats.append(
                    FileLedger(name, seen, repeats=seen - furniture, furniture=furniture)
                )
            elif key in originals:
                self.copies[name] = originals[key]
            else:
                originals[key] = name
                kept.append(candidate)
        return kept

    def _reading(self, file: FoundFile, rule: FileRule | None) -> str:
        """Fingerprint of the rules by which a file is read."""
        rules = self.settings.reading_rules(rule)
        told = {
            "version": READING_VERSION,
            "rules": asdict(rules),
            "mask": self.settings.mask_notes,
            "rule": rule.model_dump(mode="json", exclude={"match"}) if rule else file.stem,
        }
        return hashlib.sha256(
            json.dumps(told, sort_keys=True, default=sorted).encode()
        ).hexdigest()[:16]

    def _read(self, build: Build, candidate: _Candidate, load_no: int) -> None:
        """Read one file; what is wrong with it stops it alone."""
        file, rule = candidate.file, candidate.rule
        try:
            if not candidate.understood:
                raise IntakeError(NOT_UNDERSTOOD)
            if file.form is Form.PARQUET:
                self._read_sheet(build, candidate, ParquetSheet(file), load_no)
            elif candidate.scan is not None:
                self._read_sheet(build, candidate, TextFile(file, candidate.scan, rule), load_no)
            else:
                self._read_workbook(build, candidate, load_no)
        except IntakeError as error:
            self._leave_out(file.name, str(error))

    def _read_workbook(self, build: Build, candidate: _Candidate, load_no: int) -> None:
        book = Workbook(candidate.file, candidate.rule)
        for sheet in book.sheets():
            try:
                self._read_sheet(build, candidate, sheet, load_no)
            except IntakeError as error:
                self._leave_out(f"{candidate.file.name} ({sheet.name})", str(error))
        name = candidate.file.name
        self.remarks += [replace(r, text=f"{name}: {r.text}", name=name) for r in book.left_out]

    def _read_sheet(self, build: Build, candidate: _Candidate, sheet: Sheet, load_no: int) -> None:
        name, rules = candidate.file.name, self.settings.reading_rules(candidate.rule)
        tables = candidate.rule.tables if candidate.rule else None
        plans, remarks = plan_sheet(
            sheet.headers, rules, tables or (own_table_rule(sheet.stem, sheet.headers),)
        )
        page = sheet.stage(build, roles_of(plans), rules)
        page.remarks += remarks
        source_id = int(build.scalar(sql_text("intake/next_source")))
        counts = read_page(build, page, plans, rules, source_id, mask=self.settings.mask_notes)
        given = {
            "source_id": source_id,
            "name": name,
            "sheet": sheet.name,
            "sha256": candidate.sha256,
            "reading": candidate.reading,
            "load_no": load_no,
            "encoding": page.encoding,
        }
        build.run("intake/add_source", given | counts)
        where = name + (f" ({sheet.name})" if sheet.name else "")
        self.remarks += [
            replace(r, text=f"{where}: {r.text}", source_id=source_id, name=name)
            for r in page.remarks
        ]

    def _leave_out(self, name: str, reason: str) -> None:
        self.left_out.append(LeftOut(name, reason, False))

    def _keep_remarks(self, build: Build) -> None:
        for remark in self.remarks:
            build.run(
                "intake/add_remark",
                {
                    "source_id": remark.source_id,
                    "table_name": remark.table,
                    "kind": remark.kind,
                    "affected": remark.affected,
                    "text": remark.text,
                },
            )

    def _nothing_read(self) -> str:
        reasons = "; ".join(f"{out.name}: {out.reason}" for out in self.left_out if not out.litter)
        return f"No file could be read as records ({reasons}). Describe them in intake.toml."

    def _report(self, version: str, *, changed: bool, loaded: list[FileLedger]) -> LoadReport:
        files = sorted([*loaded, *self.repeats], key=lambda file: file.name)
        return LoadReport(
            self.directory.path,
            version,
            changed,
            tuple(files),
            tuple(sorted(self.left_out, key=lambda out: out.name)),
            tuple(self.remarks),
        )

"""Load a folder of records into a new build."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from pathlib import Path

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.records import TABLE_BY_NAME
from tracegraph.intake.bytescan import ByteScan, fingerprint, scan
from tracegraph.intake.carrying import carry_over
from tracegraph.intake.filling import Filler, PlannedTable, plan_table
from tracegraph.intake.finishing import READING_VERSION, finish
from tracegraph.intake.folder import Form, FoundFile, LeftOut, survey
from tracegraph.intake.furniture import drop_furniture
from tracegraph.intake.headers import NOT_UNDERSTOOD, table_rule_for
from tracegraph.intake.ledger import FileLedger, LoadReport, Remark
from tracegraph.intake.mapping import FileRule, IntakeSettings, TableRule, read_settings
from tracegraph.intake.parquet import stage_parquet
from tracegraph.intake.progress import Progress, Unwatched
from tracegraph.intake.resolving import resolve
from tracegraph.intake.spelling import unify_spellings
from tracegraph.intake.staging import Page
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
            unify_spellings(build)
            resolve(build)
            self._keep_remarks(build)
            version = finish(
                build,
                self.directory,
                self.settings.time_zone,
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
                self._leave_out(file, str(error))
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
            "rules": {**asdict(rules), "missing": sorted(rules.missing)},
            "rule": rule.model_dump(mode="json", exclude={"match"}) if rule else file.stem,
        }
        return hashlib.sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()[:16]

    def _read(self, build: Build, candidate: _Candidate, load_no: int) -> None:
        """Read one file; what is wrong with it stops it alone."""
        file = candidate.file
        try:
            if file.form is Form.WORKBOOK:
                self._read_workbook(build, candidate, load_no)
            elif file.form is Form.PARQUET:
                self._read_page(build, candidate, stage_parquet(build, file), file.stem, load_no)
            else:
                assert candidate.scan is not None
                text = TextFile(file, candidate.scan, candidate.rule)
                text.check_known()
                self._read_page(build, candidate, text.stage(build), file.stem, load_no)
        except IntakeError as error:
            self._leave_out(file, str(error))

    def _read_workbook(self, build: Build, candidate: _Candidate, load_no: int) -> None:
        book = Workbook(candidate.file, candidate.rule)
        for sheet in book.sheets:
            page = book.stage(build, sheet)
            if page is None:
                continue
            try:
                self._read_page(build, candidate, page, book.stem(sheet), load_no)
            except IntakeError as error:
                self._leave_out(candidate.file, f"sheet {sheet!r} {error}")
        self.remarks += [
            Remark(r.kind, r.affected, f"{candidate.file.name}: {r.text}") for r in book.left_out
        ]

    def _read_page(
        self, build: Build, candidate: _Candidate, page: Page, stem: str, load_no: int
    ) -> None:
        plans = self._plans(candidate.rule, page, stem)
        source_id = int(build.scalar("SELECT coalesce(max(source_id), 0) + 1 FROM sources"))
        seen = int(build.scalar("SELECT count(*) FROM page")) + page.blank + page.titles
        seen += len(page.broken)
        furniture = drop_furniture(build, page) + page.blank + page.titles
        rules = self.settings.reading_rules(candidate.rule)
        set_aside = Filler(build, page, rules, plans, source_id).fill()
        build.run(
            "intake/add_source",
            {
                "source_id": source_id,
                "name": candidate.file.name,
                "sheet": page.sheet,
                "sha256": candidate.sha256,
                "reading": candidate.reading,
                "load_no": load_no,
                "encoding": page.encoding,
                "seen": seen,
                "set_aside": set_aside,
                "furniture": furniture,
            },
        )
        if plans[0].rule.record_table.identity:
            for plan in plans[1:]:
                build.run(
                    "intake/add_facts_told",
                    {"source_id": source_id, "table_name": plan.rule.table},
                )
        where = candidate.file.name + (f" ({page.sheet})" if page.sheet else "")
        self.remarks += [
            Remark(r.kind, r.affected, f"{where}: {r.text}", candidate.file.name, r.table)
            for r in page.remarks
        ]

    def _plans(self, rule: FileRule | None, page: Page, stem: str) -> list[PlannedTable]:
        tables: tuple[TableRule, ...]
        if rule is not None:
            tables = rule.tables
        else:
            own = table_rule_for(stem, page.headers)
            if own is None:
                raise IntakeError(NOT_UNDERSTOOD)
            tables = (own,)
        plans = []
        for table in tables:
            plan, remarks = plan_table(table, page.headers)
            plans.append(plan)
            page.remarks += remarks
        return plans

    def _leave_out(self, file: FoundFile, reason: str) -> None:
        self.left_out.append(LeftOut(file.name, reason, False))

    def _keep_remarks(self, build: Build) -> None:
        for remark in self.remarks:
            build.run(
                "intake/add_remark",
                {
                    "name": remark.name,
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

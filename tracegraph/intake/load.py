"""Load a folder of records into a new build."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tracegraph.domain.errors import IntakeError
from tracegraph.domain.permission import Deed, Person
from tracegraph.intake.candidates import Candidate, Known, Sorted, repeated, sort_files
from tracegraph.intake.carrying import carry_over
from tracegraph.intake.finishing import PLANT, finish, refuse_joined
from tracegraph.intake.folder import FoundFile, LeftOut, survey
from tracegraph.intake.ledger import FileLedger, LoadReport, Remark
from tracegraph.intake.made_files import MadeFiles
from tracegraph.intake.mapping import FileRule, IntakeSettings
from tracegraph.intake.progress import Meter, Progress
from tracegraph.intake.reading import FileReader
from tracegraph.intake.resolving import resolve
from tracegraph.intake.settings import read_settings
from tracegraph.intake.spelling import (
    join_shared_numbers,
    restore_codes,
    split_shared_numbers,
    tell_lots_apart,
    unify_spellings,
)
from tracegraph.intake.unchanged import footing
from tracegraph.store import Build, StoreDirectory, open_store
from tracegraph.store.audit import permit
from tracegraph.store.photos import remember_folder
from tracegraph.store.queries import sql_text
from tracegraph.store.writer import new_build

NAME_LIST = "a list of names behind codes: never read, so that no name reaches the store"
"""Why a file of names is left out."""

_READING = (0.1, 0.8)
"""From where to where the files are read, of the whole load's time."""


class _NothingNewError(Exception):
    """Raised inside a build to drop it: every row was known."""


def load_folder(
    folder: Path,
    directory: StoreDirectory,
    *,
    progress: Progress | None = None,
    stop: Callable[[], bool] | None = None,
    fresh: bool = False,
    by: Person | None = None,
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
    stop : callable, optional
        Asked between the steps of the load, and within long ones while somebody watches,
        whether to give it up.
    fresh : bool, default False
        Begin without the records in force.
    by : Person, optional
        Who loads; the owner of the machine when left out.

    Returns
    -------
    LoadReport
        Where each row of each file went. Nothing is written, and ``changed`` is False,
        when every file was loaded before in the same way.

    Raises
    ------
    NotAllowedError
        If the role does not cover it.
    LoadStoppedError
        If it was given up; the records before it stay in force.
    IntakeError
        If the folder holds nothing that can be read, or its ``intake.toml`` is wrong.
    StoreBusyError
        If another load holds the store.
    StoreError
        If the disk is full or the store cannot be written.
    """
    permit(directory.path, by, Deed.LOAD, f"{folder}{', begun anew' if fresh else ''}")
    with directory.loading():
        settings = read_settings(folder)
        found, left_out = survey(folder, may_be_empty=bool(settings.queries))
        left_out += [LeftOut(file.name, NAME_LIST, True) for file in _name_lists(found, settings)]
        found = [file for file in found if not settings.names_people(file.inner)]
        with (
            Meter(progress, sum(file.path.stat().st_size for file in found), stop) as meter,
            MadeFiles(settings, folder, directory.path, meter.step) as made,
        ):
            files = [(file, settings.rule_for(file.inner)) for file in found]
            load = _Load(directory, settings, meter, [*left_out, *made.left_out], fresh)
            report = load.run([*files, *made.files])
        remember_folder(directory.path, folder)
        return report


def _name_lists(found: list[FoundFile], settings: IntakeSettings) -> list[FoundFile]:
    return [file for file in found if settings.names_people(file.inner)]


class _Load:
    """One load, from the files that were found to the report."""

    def __init__(
        self,
        directory: StoreDirectory,
        settings: IntakeSettings,
        meter: Meter,
        left_out: list[LeftOut],
        fresh: bool,
    ) -> None:
        self.directory = directory
        self.settings = settings
        self.meter = meter
        self.left_out = left_out
        self.earlier = None if fresh else directory.current()
        self.plant, self.plant_is_new = settings.plant, False
        self.remarks: list[Remark] = []

    def run(self, found: list[tuple[FoundFile, FileRule | None]]) -> LoadReport:
        known, replaced, version = self._known()
        self.meter.part(0.0, _READING[0])
        files = sort_files(found, self.settings, known, replaced, self.meter.step)
        self.left_out += files.left_out
        try:
            return self._build(files)
        except _NothingNewError:
            return self._report(version, [*files.repeats], changed=False)

    def _known(self) -> tuple[Known, dict[str, list[str]], str]:
        """Rows of each file in force, what made files it holds, and its version."""
        if self.earlier is None:
            return {}, {}, ""
        with open_store(self.directory.path) as store:
            rows = store.rows(sql_text("intake/known_sources"))
            refuse_joined(store)
            self._keep_to_plant(store.meta(PLANT))
            known = {(sha256, reading): (int(s), int(f)) for sha256, reading, s, f in rows}
            replaced: dict[str, list[str]] = {}
            for name, sha256 in store.rows(sql_text("intake/known_made_files")):
                replaced.setdefault(name, []).append(sha256)
            return known, replaced, store.version

    def _keep_to_plant(self, held: str | None) -> None:
        """Numbers are unique within a plant, so a store holds the records of one."""
        if self.plant is not None and held is not None and self.plant != held:
            raise IntakeError(
                f"The store holds the records of plant {held}; these are of plant {self.plant}. "
                "Load each plant into a store of its own, then join them: tracegraph join."
            )
        self.plant_is_new = self.plant is not None and held is None
        self.plant = self.plant or held

    def _build(self, files: Sorted) -> LoadReport:
        if not files.to_read and files.repeats and not self.plant_is_new:
            raise _NothingNewError
        self.meter.part(*_READING)
        self.meter.step("taking over the records in force")
        with (
            new_build(self.directory, self.earlier) as build,
            self.meter.asking(build.share_done),
            self.meter.breaking(build.interrupt),
        ):
            before = None
            if self.earlier is not None:
                before = footing(build, self.earlier)
                carry_over(build, files.forgotten)
            build.run("intake/macros")
            build.run("intake/begin")
            load_no = int(build.scalar(sql_text("intake/next_load")))
            reader = self._read(build, files.to_read, load_no)
            if not (self.plant_is_new and files.repeats) and not build.scalar(
                sql_text("intake/sources_of_load"), {"load_no": load_no}
            ):
                if files.repeats:
                    raise _NothingNewError
                raise IntakeError(self._nothing_read())
            self.meter.part(_READING[1], 1.0)
            self.meter.step("settling repeats and spellings")
            restore_codes(build)
            join_shared_numbers(build)
            unify_spellings(build, self.settings.apart)
            tell_lots_apart(build, self.settings.lots_of_suppliers)
            resolve(build)
            split_shared_numbers(build)
            reader.keep_contradictions_whole()
            self._keep_remarks(build)
            build.run_folder("intake/doubts")
            version = finish(
                build, self.directory, self.settings.zone, before, self.meter.step, plant=self.plant
            )
            loaded = self._ledgers(build, load_no, files.copies)
        return self._report(version, [*loaded, *files.repeats], changed=True)

    def _read(self, build: Build, candidates: list[Candidate], load_no: int) -> FileReader:
        reader = FileReader(build, self.settings, load_no, self.meter)
        sizes = [candidate.file.path.stat().st_size for candidate in candidates]
        begin, end = _READING
        for number, candidate in enumerate(candidates):
            marks = [sum(sizes[:stop]) / (sum(sizes) or 1) for stop in (number, number + 1)]
            self.meter.part(*(begin + (end - begin) * mark for mark in marks))
            reader.read(candidate)
        self.left_out += reader.left_out
        self.remarks += reader.remarks
        return reader

    def _ledgers(self, build: Build, load_no: int, copies: dict[str, str]) -> list[FileLedger]:
        rows = build.rows(sql_text("intake/ledgers"), {"load_no": load_no})
        loaded = [FileLedger(name, *(int(count) for count in counts)) for name, *counts in rows]
        by_name = {file.name: file for file in loaded}
        for copy, original in copies.items():
            if original in by_name:
                file = by_name[original]
                loaded.append(repeated(copy, file.seen, file.furniture))
            else:
                reason = f"holds the bytes of {original}, which could not be read"
                self.left_out.append(LeftOut(copy, reason, False))
        return loaded

    def _keep_remarks(self, build: Build) -> None:
        self.remarks += [
            Remark("left out", 0, f"{out.name}: {out.reason}", out.name)
            for out in self.left_out
            if not out.litter
        ]
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

    def _report(self, version: str, files: list[FileLedger], *, changed: bool) -> LoadReport:
        return LoadReport(
            self.directory.path,
            version,
            changed,
            tuple(sorted(files, key=lambda file: file.name)),
            tuple(sorted(self.left_out, key=lambda out: out.name)),
            tuple(self.remarks),
        )

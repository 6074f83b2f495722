"""Read files into the record tables of a build, one after another."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from tracegraph.domain.errors import IntakeError, TraceGraphError
from tracegraph.intake.candidates import Candidate
from tracegraph.intake.compose import compose
from tracegraph.intake.filling import read_page, roles_of
from tracegraph.intake.folder import Form, LeftOut
from tracegraph.intake.headers import NOT_UNDERSTOOD
from tracegraph.intake.ledger import Remark
from tracegraph.intake.mapping import IntakeSettings
from tracegraph.intake.mending import settle_mended
from tracegraph.intake.parquet import ParquetSheet
from tracegraph.intake.planning import PlannedTable, own_table_rule, plan_sheet
from tracegraph.intake.progress import Meter
from tracegraph.intake.rules import ReadingRules
from tracegraph.intake.staging import Page, Sheet
from tracegraph.intake.textfile import TextFile
from tracegraph.intake.workbook import Workbook
from tracegraph.store import Build
from tracegraph.store.queries import sql_text

_SAID = 200
_STAGED = 0.35
"""Share of a file's time after which its text is staged."""


class FileReader:
    """Reads files into a build, and remembers which source came from where.

    Parameters
    ----------
    build : Build
        Takes the records.
    settings : IntakeSettings
        What the site says.
    load_no : int
        Number of the load.
    meter : Meter
        Told how far the reading is.

    Attributes
    ----------
    remarks : list of Remark
        What a reader of the records should know.
    left_out : list of LeftOut
        Files and sheets that could not be read, and why.
    """

    def __init__(self, build: Build, settings: IntakeSettings, load_no: int, meter: Meter) -> None:
        self.build = build
        self.settings = settings
        self.load_no = load_no
        self.meter = meter
        self.remarks: list[Remark] = []
        self.left_out: list[LeftOut] = []
        self._sources: dict[int, tuple[Candidate, str | None]] = {}

    def read(self, candidate: Candidate) -> None:
        """Read one file; what is wrong with it stops it alone."""
        where = name = candidate.file.name
        try:
            for sheet in self._sheets(candidate):
                where = name + (f" ({sheet.name})" if sheet.name else "")
                try:
                    self._read_sheet(candidate, sheet, where)
                except IntakeError as error:
                    self.left_out.append(LeftOut(where, str(error), False))
        except IntakeError as error:
            self.left_out.append(LeftOut(name, str(error), False))
        except TraceGraphError:
            raise
        except Exception as error:  # what nobody thought of must not stop the folder
            if not self.build.survives(error):
                raise
            self.left_out.append(LeftOut(where, self._give_up(error), False))

    def _give_up(self, error: Exception) -> str:
        """Forget the file that was being read, and say why."""
        self.build.drop_source(int(self.build.scalar(sql_text("intake/next_source"))))
        said = (str(error).splitlines() or [""])[0][:_SAID]
        return (
            f"cannot be read, by a fault of this program ({type(error).__name__}: {said}); none of "
            "its rows is loaded. Report it, and export the file anew as CSV in UTF-8"
        )

    def _sheets(self, candidate: Candidate) -> Iterator[Sheet]:
        file, rule = candidate.file, candidate.rule
        if not candidate.understood:
            raise IntakeError(NOT_UNDERSTOOD)
        if file.form is Form.PARQUET:
            yield ParquetSheet(file)
        elif candidate.scan is not None:
            yield TextFile(file, candidate.scan, rule)
        else:
            book = Workbook(file, rule)
            read = 0
            for sheet in book.sheets():
                read += 1
                yield sheet
            if not read:
                said = "; ".join(remark.text for remark in book.left_out) or "it has no sheet"
                raise IntakeError(f"holds no rows: {said}")
            self.remarks += [
                replace(r, text=f"{file.name}: {r.text}", name=file.name) for r in book.left_out
            ]

    def _plans(self, candidate: Candidate, sheet: Sheet) -> tuple[list[PlannedTable], list[Remark]]:
        rules = self.settings.reading_rules(candidate.rule)
        tables = candidate.rule.tables if candidate.rule else None
        own = tables or (own_table_rule(sheet.stem, sheet.headers),)
        return plan_sheet(sheet.headers, rules, own)

    def _read_sheet(self, candidate: Candidate, sheet: Sheet, where: str) -> None:
        rules = self.settings.reading_rules(candidate.rule)
        plans, remarks = self._plans(candidate, sheet)
        self.meter.step(f"{where}: reading its text", 0.0, _STAGED)
        with self.meter.asking(lambda: _share_read(self.build, sheet)):
            page = sheet.stage(self.build, roles_of(plans), rules)
        page.remarks += remarks
        rules = _with_days_of(page, rules)
        source_id = int(self.build.scalar(sql_text("intake/next_source")))
        mask = self.settings.mask_notes
        counts = read_page(self.build, page, plans, rules, source_id, self._step(where), mask=mask)
        given = {
            "source_id": source_id,
            "name": candidate.file.name,
            "sheet": sheet.name,
            "sha256": candidate.sha256,
            "reading": candidate.reading,
            "load_no": self.load_no,
            "encoding": page.encoding,
            "delimiter": page.delimiter,
            "header_row": page.header_row,
            "headers": [*page.headers.names],
        }
        self.build.run("intake/add_source", given | counts)
        settle_mended(self.build, page, source_id)
        self._sources[source_id] = (candidate, sheet.name)
        self.remarks += [
            replace(r, text=f"{where}: {r.text}", source_id=source_id, name=candidate.file.name)
            for r in page.remarks
        ]

    def _step(self, where: str) -> Callable[[str, float, float], None]:
        """Teller of steps after the text of a file is staged."""

        def tell(text: str, first: float, last: float) -> None:
            shares = (_STAGED + (1.0 - _STAGED) * share for share in (first, last))
            self.meter.step(f"{where}: {text}", *shares)

        return tell

    def keep_contradictions_whole(self) -> None:
        """Put the whole row of its file beside each record that contradicts another.

        That two rows contradict each other shows only after all files are read; the file
        of the one that gave way is looked at once more.
        """
        for (source_id,) in self.build.rows(sql_text("intake/contradicting_sources")):
            if source_id not in self._sources:
                continue  # came with an earlier load: its fields stand for the row
            candidate, name = self._sources[source_id]
            for sheet in self._sheets(candidate):
                if sheet.name == name:
                    plans, _ = self._plans(candidate, sheet)
                    rules = self.settings.reading_rules(candidate.rule)
                    page = sheet.stage(self.build, roles_of(plans), rules)
                    texts = ", ".join(f"p.{column}" for column in page.columns)
                    text = compose("intake/whole_rows", row=page.row_sql, texts=texts)
                    given = {"source_id": source_id, "headers": [*page.headers.names]}
                    self.build.execute(text, given)


def _share_read(build: Build, sheet: Sheet) -> float:
    """How much of a sheet is staged: it says so itself, else the database knows."""
    share = sheet.share_read
    return build.share_done() if share is None else share


def _with_days_of(page: Page, rules: ReadingRules) -> ReadingRules:
    """Rules whose counts of days begin where the file itself says."""
    if rules.serial_dates is None or page.days_from in (None, rules.serial_dates):
        return rules
    text = (
        f"the workbook counts days from {page.days_from}, and so do we, whatever intake.toml says"
    )
    page.remarks.append(Remark("count of days", 0, text))
    return replace(rules, serial_dates=page.days_from)
